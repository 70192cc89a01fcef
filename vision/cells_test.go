package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// noiseLight is a picture of light that has nothing to do with one pixel's neighbours.
func noiseLight(w, h int) *Linear {
	l := &Linear{w, h, noise(w * h), noise(w*h + 1)[1:], noise(w*h + 2)[2:]}
	for i := range l.R { // dark places too
		k := float32(math.Exp2(-float64(i % 13)))
		l.R[i], l.G[i], l.B[i] = l.R[i]*k, l.G[i]*k, l.B[i]*k
	}
	return l
}

// A pixel's cell is that of its logarithms, but for those within a float's last bits of
// a cell's edge; sizes are no multiple of what is done at a time.
func TestColourCellsByDefinition(t *testing.T) {
	bins := ColourBins{Dark: 1e-3, Red: Bins{-1, 10, 24}, Blue: Bins{-2.2, 10, 24}, Lum: Bins{-6, 1 / 0.75, 8}}
	if n := bins.Cells(); n != 24*24*8 {
		t.Fatalf("%d cells", n)
	}
	for _, size := range [][2]int{{0, 0}, {1, 1}, {37, 41}, {129, 100}} {
		l := noiseLight(size[0], size[1])
		cell, lum := bins.Of(l)
		for i := range cell {
			r, g, b := float64(l.R[i]), float64(l.G[i]), float64(l.B[i])
			y := LumaR*r + LumaG*g + LumaB*b
			ln := func(v float64) float64 { return math.Log(v + 1e-3) }
			var want, edge = 0, 1.0
			for _, axis := range []struct {
				v float64
				Bins
			}{{ln(r) - ln(g), bins.Red}, {ln(b) - ln(g), bins.Blue}, {ln(y), bins.Lum}} {
				at := (axis.v - axis.Low) * axis.PerStep
				want = want*axis.N + int(math.Max(0, math.Min(float64(axis.N-1), math.Floor(at))))
				edge = math.Min(edge, math.Abs(at-math.Round(at)))
			}
			if int(cell[i]) != want && edge > 1e-5 {
				t.Fatalf("%v: pixel %d in cell %d, want %d", size, i, cell[i], want)
			}
			if off := float64(lum[i]) + 0.5 - 1000*math.Min(1, y); math.Abs(off) > 0.501 {
				t.Fatalf("%v: pixel %d of luminance %.5f has %d thousandths", size, i, y, lum[i])
			}
		}
	}
	if _, lum := bins.Of(&Linear{1, 1, []float32{2}, []float32{2}, []float32{2}}); lum[0] != 1000 {
		t.Errorf("light of 2 has %d thousandths", lum[0])
	}
}

func TestBandsSkyAndCounts(t *testing.T) {
	const w, h, cells = 45, 30, 11
	rnd := rand.New(rand.NewPCG(3, 4))
	first, second := make([]int16, w), make([]int16, w)
	for x := range w {
		first[x] = int16(rnd.IntN(h + 1))
		second[x] = first[x] + int16(rnd.IntN(h+1))
	}
	kind := Bands(first, second, h)
	for i, k := range kind {
		want := uint8(0)
		if y := int16(i / w); y >= second[i%w] {
			want = 2
		} else if y >= first[i%w] {
			want = 1
		}
		if k != want {
			t.Fatalf("pixel %d in band %d, want %d", i, k, want)
		}
	}
	l := noiseLight(w, h)
	s := OpenSky{Blue: 0.85, Lum: 0.2, VeryBlue: 1.25, VeryBlueLum: 0.05}
	raised := append([]uint8(nil), kind...)
	RaiseSky(l, s, 2, 5, raised)
	sky := 0
	for i := range kind {
		r, g, b, lum := l.R[i], l.G[i], l.B[i], l.Lum(i)
		want := kind[i]
		if kind[i] < 2 && (b > s.Blue*g && b > s.Blue*r && lum > s.Lum || b > s.VeryBlue*g && b > s.VeryBlue*r && lum > s.VeryBlueLum) {
			want += 5
			sky++
		}
		if raised[i] != want {
			t.Fatalf("pixel %d is of kind %d, want %d", i, raised[i], want)
		}
	}
	if sky == 0 {
		t.Fatal("no sky in the noise")
	}
	cell := make([]uint16, w*h)
	var want [7][cells]uint32
	for i := range cell {
		cell[i] = uint16(rnd.IntN(cells))
		want[raised[i]][cell[i]]++
	}
	for k, counts := range CountCells(raised, cell, len(want), cells) {
		if [cells]uint32(counts) != want[k] {
			t.Errorf("kind %d: %v, want %v", k, counts, want[k])
		}
	}
}
