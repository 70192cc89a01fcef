package metrics

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// fewestLearned: below three trees a mean's interval says less than the default.
const fewestLearned = 3

// RegrowthPair is one tree's sunlit share after a cut and before the next, at one
// height of the sun, and the years between.
type RegrowthPair struct{ AfterCut, NextBefore, Years float64 }

// LearnRegrowth returns a year's regrowth of leaf, g = (ln P next / ln P after)^(1/years)
// - 1, its mean over trees with Student's interval. ok is false for fewer than three
// usable pairs.
func LearnRegrowth(pairs []RegrowthPair) (g Estimate, ok bool) {
	var gs []float64
	for _, p := range pairs {
		if inside(p.AfterCut) && inside(p.NextBefore) && p.Years > 0 {
			gs = append(gs, math.Pow(math.Log(p.NextBefore)/math.Log(p.AfterCut), 1/p.Years)-1)
		}
	}
	return meanOf(gs)
}

// SitePair is one tree before and after a cut: sunlit shares, and the share of leaf
// area or canopy that came off.
type SitePair struct{ Before, After, Removed float64 }

// LearnSite returns the site factor q, the gain of light over that of a window that
// clears the same share of the sky: (after - before)/(removed (1 - before)). ok is
// false for fewer than three usable pairs.
func LearnSite(pairs []SitePair) (q Estimate, ok bool) {
	var qs []float64
	for _, p := range pairs {
		if p.Before >= 0 && p.Before < 1 && p.Removed > 0 && p.Removed <= 1 && !math.IsNaN(p.After) {
			qs = append(qs, (p.After-p.Before)/(p.Removed*(1-p.Before)))
		}
	}
	return meanOf(qs)
}

func inside(p float64) bool { return p > 0 && p < 1 }

// meanOf is a mean with its 95 % interval by Student's t.
func meanOf(v []float64) (Estimate, bool) {
	if len(v) < fewestLearned {
		return Estimate{}, false
	}
	mean, sd := stat.MeanStdDev(v, nil)
	n := float64(len(v))
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975) * sd / math.Sqrt(n)
	return Estimate{Value: mean, Low95: mean - half, High95: mean + half}, true
}
