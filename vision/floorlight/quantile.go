package floorlight

import (
	"math"
	"slices"
)

// quantileCells a set of values is cut into: what one of them holds is sorted, the rest
// only counted.
const quantileCells = 2048

// inOrder returns what sorting v, which is not empty and holds no NaN, would put at each
// of the ranks.
func inOrder(v []float32, ranks ...int) []float32 {
	low, high := slices.Min(v), slices.Max(v)
	per := quantileCells / math.Max(float64(high)-float64(low), 1e-30)
	cell := func(x float32) int { return min(int((float64(x)-float64(low))*per), quantileCells-1) }
	var count [quantileCells]int
	for _, x := range v {
		count[cell(x)]++
	}
	var wanted [quantileCells]bool
	var before [quantileCells]int // values in the cells before each
	seen := 0
	for c, n := range count {
		before[c] = seen
		for _, r := range ranks {
			wanted[c] = wanted[c] || r >= seen && r < seen+n
		}
		seen += n
	}
	held := map[int][]float32{}
	for _, x := range v {
		if c := cell(x); wanted[c] {
			held[c] = append(held[c], x)
		}
	}
	out := make([]float32, len(ranks))
	for c, xs := range held {
		slices.Sort(xs)
		for i, r := range ranks {
			if k := r - before[c]; k >= 0 && k < len(xs) {
				out[i] = xs[k]
			}
		}
	}
	return out
}
