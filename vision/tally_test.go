package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Ranks of a tally are those of the sorted values to a bin's width, and all is counted once.
func TestTallyRanksAreTheSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	const low, high = -4, 4
	v, by, in := make([]float32, 10001), make([]float32, 10001), make([]bool, 10001)
	var all, some []float32
	for i := range v {
		v[i], by[i], in[i] = float32(rng.NormFloat64()), rng.Float32(), rng.IntN(4) > 0
		if in[i] {
			all = append(all, v[i])
			if by[i] > 0.25 && by[i] < 0.5 {
				some = append(some, v[i])
			}
		}
	}
	whole, part := NewTally(low, high), NewTally(low, high)
	whole.Add(v, in)
	part.AddBetween(v, in, by, 0.25, 0.5)
	for _, c := range []struct {
		got  *Tally
		want []float32
	}{{whole, all}, {part, some}} {
		slices.Sort(c.want)
		if c.got.Count() != len(c.want) {
			t.Fatalf("%d counted, %d are there", c.got.Count(), len(c.want))
		}
		for _, r := range []int{0, len(c.want) / 50, len(c.want) / 2, len(c.want) - 1} {
			if d := c.got.Rank(r) - float64(c.want[r]); math.Abs(d) > float64(high-low)/TallyBins {
				t.Errorf("rank %d of %d is %g off", r, len(c.want), d)
			}
		}
	}
}

func TestTallyKeepsWhatLiesBeyond(t *testing.T) {
	c := NewTally(0, 1)
	c.Add([]float32{-1e9, 5, float32(math.Inf(1))}, []bool{true, true, true})
	if c.Count() != 3 || c.Rank(0) > 1.0/TallyBins || c.Rank(2) < 1-1.0/TallyBins {
		t.Errorf("%d counted, from %g to %g", c.Count(), c.Rank(0), c.Rank(2))
	}
}

func TestLookUpTakesTheStep(t *testing.T) {
	table := []float32{-1, 10, 11, 12, 99} // at or under 2; 2 to 2.5, to 3, to 3.5; beyond
	v := []float32{-7, 2, 2.1, 2.49, 2.51, 3.4, 3.6, 1e9}
	got := make([]float32, len(v))
	LookUp(v, 2, 0.5, table, got)
	if want := []float32{-1, -1, 10, 10, 11, 12, 99, 99}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

func TestMarkIsTheDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	v, by, in, out := make([]float32, 1003), make([]float32, 1003), make([]bool, 1003), make([]bool, 1003)
	for i := range v {
		v[i], by[i], in[i] = rng.Float32(), rng.Float32(), rng.IntN(2) == 0
	}
	n := Mark(v, Range{0.2, 0.9}, by, Range{-1, 0.5}, in, out)
	for i := range v {
		if out[i] != (in[i] && v[i] > 0.2 && v[i] < 0.9 && by[i] < 0.5) {
			t.Fatalf("pixel %d: %g by %g, marked %v, came out %v", i, v[i], by[i], in[i], out[i])
		}
		if out[i] {
			n--
		}
	}
	if n != 0 {
		t.Errorf("the count is %d off", n)
	}
}
