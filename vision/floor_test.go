package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// drawnLight is a raster of light with marks and fractions; its size is no whole number
// of eights.
func drawnLight(w, h int) (l *Linear, in []bool, fraction []float32) {
	rng := rand.New(rand.NewPCG(7, 7))
	n := w * h
	l = &Linear{W: w, H: h, R: make([]float32, n), G: make([]float32, n), B: make([]float32, n)}
	in, fraction = make([]bool, n), make([]float32, n)
	for i := range n {
		l.R[i], l.G[i], l.B[i] = rng.Float32(), rng.Float32(), rng.Float32()
		fraction[i], in[i] = rng.Float32(), rng.IntN(3) > 0
	}
	return l, in, fraction
}

// Sums of a thousand floats in eights are good to 1e-6 of the whole.
func near(got, want float64) bool { return math.Abs(got-want) <= 1e-5*(1+math.Abs(want)) }

func TestFloorEndsAreSums(t *testing.T) {
	l, in, _ := drawnLight(71, 33)
	var want FloorEnds
	for i, m := range in {
		if !m {
			continue
		}
		want.Count++
		want.Green, want.Blue = want.Green+float64(l.G[i]), want.Blue+float64(l.B[i])
		if min(l.R[i], l.G[i], l.B[i]) >= 0.5 {
			want.Burnt++
		}
		if l.G[i] <= 0.1 {
			want.Dark++
		}
	}
	got := l.FloorEnds(in, 0.5, 0.1)
	if got.Count != want.Count || got.Burnt != want.Burnt || got.Dark != want.Dark || !near(got.Green, want.Green) || !near(got.Blue, want.Blue) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func TestFloorLightsAreSums(t *testing.T) {
	l, in, fraction := drawnLight(71, 33)
	var want FloorLights
	for i, m := range in {
		k := 0
		switch f := fraction[i]; {
		case !m || f >= 0.3 && f <= 0.6:
			continue
		case f > 0.6:
			k = 1
		default:
			want.ShadeRed, want.ShadeBlue = want.ShadeRed+float64(l.R[i]), want.ShadeBlue+float64(l.B[i])
		}
		want.Count[k]++
		if max(l.R[i], l.G[i], l.B[i]) < 0.8 {
			for c, v := range []float32{l.R[i], l.G[i], l.B[i]} {
				want.Colour[k][c] += float64(v)
			}
		}
	}
	got := l.FloorLights(in, fraction, 0.3, 0.6, 0.8)
	if got.Count != want.Count || !near(got.ShadeRed, want.ShadeRed) || !near(got.ShadeBlue, want.ShadeBlue) {
		t.Errorf("%+v, want %+v", got, want)
	}
	for k := range 2 {
		for c := range 3 {
			if !near(got.Colour[k][c], want.Colour[k][c]) {
				t.Errorf("light %d, channel %d: %g, want %g", k, c, got.Colour[k][c], want.Colour[k][c])
			}
		}
	}
}

// By the definition, in doubles: off the line, the dawn's part taken out, in spreads.
func TestStrangeIsTheDefinition(t *testing.T) {
	l, in, x := drawnLight(71, 5)
	_, _, texture := drawnLight(71, 5)
	s := Strange{
		Red: FloorLine{0.1, 0.2, 0.5}, Blue: FloorLine{-0.1, 0.3, 0.4}, Texture: FloorLine{0.6, -0.2, 0.3},
		Low: 0.2, High: 0.7, DawnRed: 0.3, DawnBlue: -0.4, DawnMost: 0.5,
	}
	for _, dawn := range []bool{true, false} {
		if !dawn {
			s.DawnRed, s.DawnBlue = 0, 0
		}
		out := make([]float32, len(x))
		s.Of(in, l.R, l.G, l.B, texture, x, out)
		for i := range out {
			at := math.Max(0.2, math.Min(0.7, float64(x[i])))
			off := func(v float64, f FloorLine) float64 { return v - f.A - f.B*at }
			red, blue := off(float64(l.R[i])-float64(l.G[i]), s.Red), off(float64(l.B[i])-float64(l.G[i]), s.Blue)
			if dawn {
				along := math.Max(0, math.Min(0.5, (0.3*red-0.4*blue)/0.25))
				red, blue = red-0.3*along, blue+0.4*along
			}
			grain := math.Min(off(float64(texture[i]), s.Texture), 0)
			want := red*red/0.25 + blue*blue/0.16 + grain*grain/0.09
			if !in[i] {
				want = 0
			}
			if !near(float64(out[i]), want) {
				t.Fatalf("pixel %d: %g, want %g", i, out[i], want)
			}
		}
	}
}

// Under an even shade the share is the light over the gap.
func TestUnmixIsTheShareBetween(t *testing.T) {
	const shade, contrast = 0.2, 5
	l, in, fraction := drawnLight(71, 33)
	own := append([]float32(nil), fraction...)
	cellsW, cellsH := BroadSize(l.W, l.H)
	u := Unmixing{KG: 0.5, KB: 2, Shade: make([]float32, cellsW*cellsH), Contrast: contrast, Half: 0.5}
	for i := range u.Shade {
		u.Shade[i] = shade
	}
	_, _, linear := drawnLight(71, 33)
	smooth, lit, n := append([]float32(nil), linear...), make([]bool, len(in)), 0.0
	first, second := u.Unmix(l, in, linear, fraction, linear, lit)
	for i, m := range in {
		var want, wantFraction float64
		wantLit := false
		if m {
			n++
			want = (0.5*float64(l.G[i]) + 2*float64(l.B[i]) - shade) / (shade * (contrast - 1))
			wantFraction, wantLit = float64(own[i]), (float64(smooth[i])-shade)/(shade*(contrast-1)) > 0.5
		}
		if !near(float64(linear[i]), want) || float64(fraction[i]) != wantFraction || lit[i] != wantLit {
			t.Fatalf("pixel %d: %g of %g, lit %v; want %g of %g, %v", i, linear[i], fraction[i], lit[i], want, wantFraction, wantLit)
		}
	}
	if !near(first, shade*n) || !near(second, shade*shade*n) {
		t.Errorf("sums %g and %g, want %g and %g", first, second, shade*n, shade*shade*n)
	}
}

func TestSquareOffAndLnRoot(t *testing.T) {
	a, b := []float32{3, -1, 0}, []float32{1, 1, 0}
	SquareOff(a, b, a)
	if a[0] != 4 || a[1] != 4 || a[2] != 0 {
		t.Fatalf("squares %v", a)
	}
	v := make([]float32, 1003)
	for i := range v {
		v[i] = float32(math.Exp(float64(i-600) / 50))
	}
	v[5], v[1002] = -1, 0
	out := append([]float32(nil), v...)
	LnRoot(out, 0.02, out)
	for i, got := range out {
		want := math.Log(math.Sqrt(math.Max(float64(v[i]), 0)) + 0.02)
		if math.Abs(float64(got)-want) > 1e-6*(1+math.Abs(want)) {
			t.Errorf("ln of root of %g: %g, want %g", v[i], got, want)
		}
	}
}
