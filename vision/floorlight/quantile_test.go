package floorlight

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestInOrderIsTheSorted(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	draws := map[string]func() float32{
		"spread": func() float32 { return float32(rnd.NormFloat64()) },
		"ties":   func() float32 { return float32(rnd.IntN(7)) },
		"one":    func() float32 { return -2 },
		"far":    func() float32 { return float32(rnd.IntN(2))*1e6 + rnd.Float32() },
	}
	for name, draw := range draws {
		for _, n := range []int{1, 2, 10, 5000} {
			v := make([]float32, n)
			for i := range v {
				v[i] = draw()
			}
			sorted := slices.Sorted(slices.Values(v))
			ranks := []int{0, n / 2000, n / 2, n - 1 - n/2000, n - 1}
			for i, got := range inOrder(v, ranks...) {
				if got != sorted[ranks[i]] {
					t.Errorf("%s: place %d of %d: %g, want %g", name, ranks[i], n, got, sorted[ranks[i]])
				}
			}
		}
	}
}
