package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Morris 1983's shape, by hand: six heights 4, 4.4, 4.8, 5.2, 5.6, 6 with sd 0.5:
// mean 5, sample variance .56, tau2 = .56 - .25 = .31 (equal weights make the
// moment estimate plain). Pull of each = (6-3)/(6-1) .25/.56 = .2679: 6 becomes 5.7321.
func TestShrinkByHand(t *testing.T) {
	trees := make([]ScoreTree, 6)
	for i := range trees {
		trees[i] = ScoreTree{Key: fmt.Sprint(i), Block: "b", HeightM: []Estimate{withSD(4+0.4*float64(i), 0.5)}}
	}
	b := believe(trees)
	near(t, "highest", b[5][ofHeight].mean, 6-0.6*0.25/0.56, 1e-9)
	near(t, "as seen", b[5][ofHeight].seen, 6, 1e-12)
	near(t, "middle pair", b[2][ofHeight].mean+b[3][ofHeight].mean, 10, 1e-9)
}

// The same by Score, for the floor's light, on the logit: six floors at logits -3.5 to
// -1.5 by 0.4, sd 0.5 each (the heights above, less 7.5): the darkest's -3.5 becomes
// -3.5 + 0.2679 = -3.2321, a share of 0.0380, where the photo says 0.0293. Its variance
// by the formula at shrink: (1-.2679) .25 + .2679^2 .56/6 + 2/3 .2679^2 = .2375.
func TestScoreGivesTheWeighedFloor(t *testing.T) {
	from := logitScale().from
	floors := func(n int) []TreeScore {
		trees := make([]ScoreTree, n)
		for i := range trees {
			y := -3.5 + 0.4*float64(i)
			trees[i] = ScoreTree{Key: fmt.Sprint(i), Block: "b", Sunlit: []Estimate{{Value: from(y), Low95: from(y - Z95*0.5), High95: from(y + Z95*0.5)}}}
		}
		scores, err := Score(trees, DefaultScoreSettings())
		if err != nil {
			t.Fatal(err)
		}
		return scores
	}
	for _, s := range floors(6) {
		if s.Key != "0" {
			continue
		}
		half := Z95 * math.Sqrt(0.2375)
		near(t, "value", s.SunlitWeighed.Value, from(-3.2321), 1e-4)
		near(t, "low", s.SunlitWeighed.Low95, from(-3.2321-half), 1e-4)
		near(t, "high", s.SunlitWeighed.High95, from(-3.2321+half), 1e-4)
	}
	for _, s := range floors(fewestToShrink - 1) {
		if s.SunlitWeighed != nil {
			t.Errorf("%d trees were weighed with each other: %+v", fewestToShrink-1, s.SunlitWeighed)
		}
	}
}

// Trees that differ by no more than their photos' errors come out nearly alike;
// trees known well keep their own; a handful of trees is left alone.
func TestShrinkByWhatTheDataCanTell(t *testing.T) {
	spread := func(n int, sd float64) float64 {
		trees := make([]ScoreTree, n)
		for i := range trees {
			trees[i] = ScoreTree{Key: fmt.Sprint(i), Block: "b", HeightM: []Estimate{withSD(5+0.1*float64(i%5), sd)}}
		}
		b := believe(trees)
		return b[4][ofHeight].mean - b[0][ofHeight].mean
	}
	if s := spread(40, 1); s > 0.05 {
		t.Errorf("trees that cannot be told apart are kept %.2f m apart", s)
	}
	if s := spread(40, 0.005); s < 0.39 {
		t.Errorf("trees known to 5 mm, 0.40 m apart, were drawn together to %.2f m", s)
	}
	four := make([]ScoreTree, fewestToShrink-1)
	for i := range four {
		four[i] = ScoreTree{Key: fmt.Sprint(i), Block: "b", HeightM: []Estimate{withSD(5+0.1*float64(i), 1)}}
	}
	near(t, "four trees", believe(four)[3][ofHeight].mean, 5.3, 1e-12)
}

// Drawn truths: shrunken means are nearer to the truth than the photos' own, and
// their 95 % intervals hold it in 95 % (2000 trees: sd .5 points, five allowed).
func TestShrinkingHelps(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	var own, shrunk, held, n float64
	for range 100 {
		truth := make([]float64, 20)
		trees := make([]ScoreTree, 20)
		for i := range trees {
			truth[i] = 5 + 0.4*rng.NormFloat64()
			trees[i] = ScoreTree{Key: fmt.Sprint(i), Block: "b", HeightM: []Estimate{withSD(truth[i]+0.4*rng.NormFloat64(), 0.4)}}
		}
		for i, b := range believe(trees) {
			h := b[ofHeight]
			own += (h.seen - truth[i]) * (h.seen - truth[i])
			shrunk += (h.mean - truth[i]) * (h.mean - truth[i])
			if math.Abs(h.mean-truth[i]) <= Z95*h.sd {
				held++
			}
			n++
		}
	}
	if shrunk > 0.7*own { // half of it in the limit of many trees
		t.Errorf("mean square error %.4f shrunken, %.4f as seen", shrunk/n, own/n)
	}
	if share := held / n; share < 0.925 || share > 0.975 {
		t.Errorf("%.3f of the intervals hold the truth", share)
	}
}
