package accuracy

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// marginals are the numbers of many invented trees on the scales they are near normal
// on, and the same less their block's mean.
func marginals(draw func(*rand.Rand) []inventedTree) (all, within [4][]float64) {
	logit := func(p float64) float64 { return math.Log(p / (1 - p)) }
	for n := range InventedOrchards {
		trees := draw(rand.New(rand.NewPCG(inventedSeed, uint64(n))))
		for b := range inventedBlocks {
			var block [4][]float64
			for _, t := range trees[b*inventedTrees : (b+1)*inventedTrees] {
				for i, v := range [4]float64{logit(t.sunlit), t.heightM, t.alleyM, logit(t.density)} {
					block[i] = append(block[i], v)
				}
			}
			for i, vs := range block {
				mean := stat.Mean(vs, nil)
				for _, v := range vs {
					all[i], within[i] = append(all[i], v), append(within[i], v-mean)
				}
			}
		}
	}
	return all, within
}

// What the two draws come to (go test -run InventedTreesSpread -v). The grown orchard
// keeps the spreads of the one drawn apart within a fifth of each, and its numbers hang
// together the way trees do: darker floors under denser, taller, wider trees.
func TestInventedTreesSpread(t *testing.T) {
	names := [4]string{"floor light, logit", "height, m", "alley, m", "density, logit"}
	type drawn struct{ all, within [4][]float64 }
	var both [2]drawn
	for k, d := range []struct {
		name string
		draw func(*rand.Rand) []inventedTree
	}{{"apart", apart}, {"grown", grown}} {
		all, within := marginals(d.draw)
		both[k] = drawn{all, within}
		for i, name := range names {
			t.Logf("%s: %-18s mean %6.2f, SD %.2f, within a block %.2f; correlation within a block %5.2f %5.2f %5.2f %5.2f", d.name, name,
				stat.Mean(all[i], nil), stat.StdDev(all[i], nil), stat.StdDev(within[i], nil),
				stat.Correlation(within[i], within[0], nil), stat.Correlation(within[i], within[1], nil),
				stat.Correlation(within[i], within[2], nil), stat.Correlation(within[i], within[3], nil))
		}
	}
	for i, name := range names {
		ratio := stat.StdDev(both[1].within[i], nil) / stat.StdDev(both[0].within[i], nil)
		if ratio < 1/1.2 || ratio > 1.2 {
			t.Errorf("%s: grown spreads %.2f times as far as apart", name, ratio)
		}
	}
	sign := [4][4]float64{{1, -1, 1, -1}, {-1, 1, -1, 1}, {1, -1, 1, -1}, {-1, 1, -1, 1}}
	for i := range names {
		for j := range i {
			if c := stat.Correlation(both[1].within[i], both[1].within[j], nil); c*sign[i][j] < 0.05 {
				t.Errorf("%s and %s correlate by %.2f", names[i], names[j], c)
			}
			if c := stat.Correlation(both[0].within[i], both[0].within[j], nil); math.Abs(c) > 0.05 {
				t.Errorf("drawn apart, %s and %s correlate by %.2f", names[i], names[j], c)
			}
		}
	}
}
