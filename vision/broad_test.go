package vision

import (
	"math"
	"testing"
)

func TestBroadSumsAreTheCells(t *testing.T) {
	const w, h, under = 21, 11, 0.5
	a, b, by, in := make([]float32, w*h), make([]float32, w*h), make([]float32, w*h), make([]bool, w*h)
	cellsW, cellsH := BroadSize(w, h)
	if cellsW != 3 || cellsH != 2 {
		t.Fatalf("%d x %d cells of 8 over %d x %d", cellsW, cellsH, w, h)
	}
	count, sum := make([]float32, cellsW*cellsH), make([]float32, cellsW*cellsH)
	for i := range a {
		a[i], b[i], by[i], in[i] = float32(i), float32(i%7), float32(i%3)/2, i%5 > 0
		if c := i/w/BroadCell*cellsW + i%w/BroadCell; in[i] && by[i] < under {
			count[c]++
			sum[c] += 2*a[i] + 3*b[i]
		}
	}
	gotCount, gotSum := BroadSums(in, by, under, a, 2, b, 3, w)
	for c := range count {
		if gotCount[c] != count[c] || gotSum[c] != sum[c] {
			t.Errorf("cell %d: %g of %g, want %g of %g", c, gotCount[c], gotSum[c], count[c], sum[c])
		}
	}
}

// A slope comes out as the slope, at the pixels' own places, up to the outermost cells'
// middles, and stands still beyond them.
func TestLessBroadTakesASlopeOut(t *testing.T) {
	const w, h = 37, 22
	cellsW, cellsH := BroadSize(w, h)
	at := func(x, y float64) float64 { return 0.5*x - 0.25*y }
	middle := func(c int) float64 { return BroadCell*float64(c) + (BroadCell-1)/2.0 }
	cells := make([]float32, cellsW*cellsH)
	for i := range cells {
		cells[i] = float32(at(middle(i%cellsW), middle(i/cellsW)))
	}
	v, out := make([]float32, w*h), make([]float32, w*h)
	LessBroad(v, cells, w, out)
	held := func(x, n int) float64 { return math.Max(middle(0), math.Min(middle(n-1), float64(x))) }
	for i, got := range out {
		want := -at(held(i%w, cellsW), held(i/w, cellsH))
		if math.Abs(float64(got)-want) > 1e-5 {
			t.Fatalf("pixel %d, %d: %g, want %g", i%w, i/w, got, want)
		}
	}
}
