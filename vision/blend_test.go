package vision

import (
	"math"
	"testing"
)

// drawnBlend is a mixture with numbers of no pattern, red left out of its second half.
func drawnBlend(next func() float64) *Blend {
	b := &Blend{Reference: [3]float32{-1.5, 0.2, -0.4}}
	for q := range 2 {
		for i := range b.Whiten[q] {
			b.Whiten[q][i] = float32(1 + next())
		}
		for k := range BlendParts {
			b.Weight[q][k] = float32(0.01 + next())
			for i := range 3 {
				b.Middle[q][k][i] = float32(3 * next())
			}
			b.Middle[1][k][1] = 0
		}
	}
	for _, i := range [...]int{1, 2, 4} {
		b.Whiten[1][i] = 0
	}
	return b
}

// partsOf is the definition: each part's weight times 1/2 to the squared distance.
func (b *Blend) partsOf(l, r, u float64, whole bool) (part [BlendParts]float64, total float64) {
	q := 1
	if whole {
		q = 0
	}
	w := b.Whiten[q]
	at := [3]float64{float64(w[0]) * l, float64(w[1])*l + float64(w[2])*r, float64(w[3])*l + float64(w[4])*r + float64(w[5])*u}
	for k := range part {
		sum := 0.0
		for i, m := range b.Middle[q][k] {
			sum += (at[i] - float64(m)) * (at[i] - float64(m))
		}
		part[k] = float64(b.Weight[q][k]) * math.Exp2(-sum)
		total += part[k]
	}
	return part, total
}

func TestBlendIsItsDefinition(t *testing.T) {
	seed := uint32(7)
	next := func() float64 { seed = seed*1664525 + 1013904223; return float64(seed>>8) / (1 << 24) }
	b := drawnBlend(next)
	const n = 1600 // more than are summed at a time
	px := BlendPixels{make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)}
	var weight [BlendParts]float64
	var ln, shade, sunWholeRed float64
	for i := range n {
		px.Light[i], px.Red[i], px.Blue[i] = float32(3*next()), float32(next()), float32(-next())
		if next() > 0.3 {
			px.Whole[i] = 1
		}
		part, total := b.partsOf(float64(px.Light[i]), float64(px.Red[i]), float64(px.Blue[i]), px.Whole[i] > 0)
		for k := range part {
			weight[k] += part[k] / total
		}
		ln += math.Log(total)
		shade += part[0] / total * float64(px.Light[i]) * float64(px.Blue[i])
		sunWholeRed += part[1] / total * float64(px.Whole[i]) * float64(px.Red[i])
	}
	const close = 2e-4 // the power's cubic, and sums of floats
	s := b.Sums(px, true)
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > close*(math.Abs(want)+1) {
			t.Errorf("%s: %g, want %g", name, got, want)
		}
	}
	for k := range weight {
		near("weight", s.Weight[k], weight[k])
	}
	near("likelihood", s.LnLikelihood, ln)
	near("shade's light times blue", s.Lights[0].LightBlue, shade)
	near("sun's red", s.Lights[1].Red, sunWholeRed)
}

// Marked pixels get the parts' mean fraction, by red or without it where it is burnt out;
// the others are left alone, and so is what lies past the last whole eight.
func TestBlendFractions(t *testing.T) {
	seed := uint32(11)
	next := func() float64 { seed = seed*1664525 + 1013904223; return float64(seed>>8) / (1 << 24) }
	b := drawnBlend(next)
	var fraction [BlendParts]float32
	for k := range fraction {
		fraction[k] = float32(next())
	}
	const n, burnt, untouched = 61, -0.9, 5
	in, out := make([]bool, n), make([]float32, n)
	var plane [4][]float32
	for k := range plane {
		plane[k] = make([]float32, n)
	}
	for i := range n {
		in[i], out[i] = i%7 > 0 && (i < 16 || i > 24), untouched
		for k := range plane {
			plane[k][i] = float32(-2 * next())
		}
	}
	light, red, green, blue := plane[0], plane[1], plane[2], plane[3]
	b.Fractions(fraction, in, light, red, green, blue, burnt, out)
	for i := range n {
		want := float64(untouched)
		if in[i] {
			l := float64(light[i] - b.Reference[0])
			part, total := b.partsOf(l, float64(red[i]-green[i]-b.Reference[1]), float64(blue[i]-green[i]-b.Reference[2]), red[i] <= burnt)
			want = 0
			for k := range part {
				want += part[k] / total * float64(fraction[k])
			}
		}
		if math.Abs(float64(out[i])-want) > 2e-4 {
			t.Errorf("pixel %d: %g, want %g", i, out[i], want)
		}
	}
}

// Marked pixels are added up and moved, also past the last whole eight; the others stay.
func TestMarkedSumsAndMoves(t *testing.T) {
	const n, weight = 3005, 0.25
	in, a, b := make([]bool, n), make([]float32, n), make([]float32, n)
	var wantA, wantB float64
	for i := range n {
		in[i], a[i], b[i] = i%3 > 0 || i > 3000, float32(i%11), float32(i%7)
		if in[i] {
			wantA, wantB = wantA+float64(a[i]), wantB+float64(b[i])
		}
	}
	// Whole numbers add up without rounding.
	if gotA, gotB := MarkedSums(in, a, b); gotA != wantA || gotB != wantB {
		t.Errorf("sums %g and %g, want %g and %g", gotA, gotB, wantA, wantB)
	}
	MoveToward(in, a, b, weight)
	for i := range n {
		want := float32(i % 11)
		if in[i] {
			want = 0.75*want + 0.25*float32(i%7) // exact: quarters of small numbers
		}
		if a[i] != want {
			t.Fatalf("pixel %d: %g, want %g", i, a[i], want)
		}
	}
}
