package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// By hand, errors and spreads of 1, a block mean of 0, so many trees that Morris's
// factor is 1: floor and alley bound by .8, seen at 1 and 2. S+T = (2 .8; .8 2),
// det 3.36, (S+T)^-1 (1,2) = (.4, 3.2)/3.36 = (.1190, .9524): the floor becomes .8810,
// the alley 1.0476; variance 1 - 2/3.36 = .4048, covariance .8/3.36 = .2381. Density,
// not seen, bound to the floor by -.5: moves by -.5 x .1190 = -.0595, its variance by
// what it was known by, 1, less .25 x 2/3.36 = .1488.
func TestWeighInByHand(t *testing.T) {
	var among blockSpreads
	for _, q := range []quantity{ofSunlit, ofAlley, ofDensity} {
		among[q] = blockSpread{tau2: 1, weight: 1e12, trees: 1e9}
	}
	r := noBonds()
	r[ofSunlit][ofAlley], r[ofAlley][ofSunlit] = 0.8, 0.8
	r[ofSunlit][ofDensity], r[ofDensity][ofSunlit] = -0.5, -0.5
	var b beliefs
	for q := range b {
		b[q].from = fromNowhere
	}
	b[ofSunlit] = belief{mean: 1, seen: 1, sd: 1, from: fromPhotos}
	b[ofAlley] = belief{mean: 2, seen: 2, sd: 1, from: fromPhotos}
	b[ofDensity] = belief{sd: 1, from: fromNeighbours}
	weighIn(among, r, &b)
	near(t, "floor", b[ofSunlit].mean, 1-0.4/3.36, 1e-6)
	near(t, "alley", b[ofAlley].mean, 2-3.2/3.36, 1e-6)
	near(t, "floor alone", b[ofSunlit].alone, 0.5, 1e-6)
	near(t, "floor's variance", b[ofSunlit].sd*b[ofSunlit].sd, 1-2/3.36, 1e-6)
	near(t, "density", b[ofDensity].mean, -0.2/3.36, 1e-6)
	near(t, "density's variance", b[ofDensity].sd*b[ofDensity].sd, 1-0.25*2/3.36, 1e-6)
	if b[ofSunlit].lender != ofAlley || b[ofDensity].lender != ofSunlit {
		t.Errorf("the floor was lent to by %v, density by %v", b[ofSunlit].lender, b[ofDensity].lender)
	}
	var cov float64
	for q := range quantityCount {
		cov += b[ofSunlit].lower[q] * b[ofAlley].lower[q]
	}
	near(t, "covariance", cov, 0.8/3.36, 1e-6)
}

// bound draws blocks of trees whose floor and density are correlated by r, both seen
// with errors as large as the trees' spread.
func bound(rng *rand.Rand, blocks, trees int, r float64) (truth [][2]float64, out []ScoreTree) {
	const tau, sd = 0.6, 0.6
	from := logitScale().from
	share := func(l float64) []Estimate {
		return []Estimate{{Value: from(l), Low95: from(l - Z95*sd), High95: from(l + Z95*sd)}}
	}
	for b := range blocks {
		for i := range trees {
			z := rng.NormFloat64()
			p, d := -2+tau*z, 2+tau*(r*z+math.Sqrt(1-r*r)*rng.NormFloat64())
			truth = append(truth, [2]float64{p, d})
			out = append(out, ScoreTree{
				Key: fmt.Sprintf("%d-%02d", b, i), Block: fmt.Sprint(b),
				Sunlit: share(p + sd*rng.NormFloat64()), Density: share(d + sd*rng.NormFloat64()),
			})
		}
	}
	return truth, out
}

// Floors that go with density are told the better for it, and those that do not are
// told as well as number by number; either way their 95 % intervals hold the truth in
// 95 % (6000 trees: a deviation of .3 points, and as much for the spread being an
// estimate).
func TestLendingHelpsOrDoesNoHarm(t *testing.T) {
	for _, c := range []struct{ r, most float64 }{{-0.8, 0.93}, {0, 1.01}, {0.8, 1.01}} {
		rng := rand.New(rand.NewPCG(9, 9))
		var alone, lent, held, n float64
		for range 100 {
			truth, trees := bound(rng, 3, 20, c.r)
			for i, b := range believe(trees) {
				v := b[ofSunlit]
				alone += (v.alone - truth[i][0]) * (v.alone - truth[i][0])
				lent += (v.mean - truth[i][0]) * (v.mean - truth[i][0])
				if math.Abs(v.mean-truth[i][0]) <= Z95*v.sd {
					held++
				}
				n++
			}
		}
		t.Logf("correlation %.1f: mean square error %.4f alone, %.4f lent to; %.3f held", c.r, alone/n, lent/n, held/n)
		if lent > c.most*alone {
			t.Errorf("correlation %.1f: mean square error %.4f alone, %.4f lent to", c.r, alone/n, lent/n)
		}
		if share := held / n; share < 0.93 || share > 0.97 {
			t.Errorf("correlation %.1f: %.3f of the intervals hold the truth", c.r, share)
		}
	}
}

// In blocks of seven trees, and between two numbers of one photo, nothing is lent.
func TestWhatLendsNothing(t *testing.T) {
	_, few := bound(rand.New(rand.NewPCG(1, 2)), 6, fewestToBond-1, -0.9)
	for i, b := range believe(few) {
		if b[ofSunlit].mean != b[ofSunlit].alone && math.Abs(b[ofSunlit].mean-b[ofSunlit].alone) > 1e-12 {
			t.Fatalf("tree %d of a small block was lent to: %+v", i, b[ofSunlit])
		}
	}
	var one []ScoreTree
	for i := range 20 {
		e := FromShare(0.7+0.01*float64(i), 0.05, 0.001)
		one = append(one, ScoreTree{Key: fmt.Sprintf("%02d", i), Block: "b", HeightM: []Estimate{withSD(4+0.1*float64(i), 0.5)}, Density: []Estimate{e}})
	}
	for i, b := range believe(one) {
		if math.Abs(b[ofHeight].mean-b[ofHeight].alone) > 1e-12 || math.Abs(b[ofDensity].mean-b[ofDensity].alone) > 1e-12 {
			t.Fatalf("tree %d: one photo's numbers lent to each other: %+v", i, b)
		}
	}
}

// A dense tree without a floor photo is taken to stand on a darker floor than an open
// one where the block's floors go with density, its interval no wider than by the
// block alone; and the reason says so.
func TestMissingFloorIsLentTo(t *testing.T) {
	_, trees := bound(rand.New(rand.NewPCG(5, 5)), 1, 60, -0.95)
	dense, open := 0, 0
	for i, tree := range trees {
		if tree.Density[0].Value > trees[dense].Density[0].Value {
			dense = i
		}
		if tree.Density[0].Value < trees[open].Density[0].Value {
			open = i
		}
	}
	trees[dense].Sunlit, trees[open].Sunlit = nil, nil
	b := believe(trees)
	if d, o := b[dense][ofSunlit], b[open][ofSunlit]; d.mean > o.mean-0.3 || d.sd > predict(means(b, ofSunlit), 1).sd {
		t.Errorf("the dense tree's floor is taken as %.2f, the open one's as %.2f, sd %.2f", d.mean, o.mean, d.sd)
	}
	all := byKey(mustScore(t, trees, DefaultScoreSettings()))
	var told int
	for i, tree := range trees {
		v, r := b[i][ofSunlit], all[tree.Key].Parts[floorPart].Reason
		counted := ofSunlit.words(v.mean)
		if v.from != fromPhotos || counted == ofSunlit.words(v.seen) || counted == ofSunlit.words(v.alone) {
			continue
		}
		told++
		if want := "(counted as " + counted + ": its photos are weighed with the block and with its own density,"; !strings.Contains(r, want) {
			t.Errorf("%s: %s", tree.Key, r)
		}
	}
	if told == 0 {
		t.Error("density lent to no floor")
	}
	s := all[trees[dense].Key]
	if r := s.Parts[floorPart].Reason; !strings.Contains(r, "no usable floor photo: taken as other trees have it that are like this one in density") {
		t.Errorf("the reason: %s", r)
	}
}

func means(all []beliefs, q quantity) []float64 {
	var out []float64
	for _, b := range all {
		if b[q].from == fromPhotos {
			out = append(out, b[q].seen)
		}
	}
	return out
}
