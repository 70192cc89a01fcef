package metrics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// LooksNeeded returns how many looks (photos or segments, never pixels) bring the
// 95 % interval of a mean share to plus and minus half, given the standard
// deviation between looks: n = (1.96 sd/half)^2. A finite number of looks that the
// place could hold (0 for no limit) lowers it to n/(1 + n/total). The result is at
// least 1. Source: sampling theory (Cochran); the trade notes' table.
func LooksNeeded(sd, half, total float64) int {
	if !(sd > 0) || !(half > 0) {
		return 1
	}
	n := Z95 * sd / half
	n *= n
	if total > 0 {
		n /= 1 + n/total
	}
	return max(1, int(math.Ceil(n-lookSlack)))
}

// lookSlack keeps a hundredth of a look from asking for a whole one.
const lookSlack = 0.01

// PhotosNeeded returns how many photos of one tree bring the 95 % interval of their
// mean share to plus and minus half, by the spread of those at hand (two or more):
// LooksNeeded with Student's t, of as many photos as there would then be, instead
// of 1.96, for a spread from few photos is itself unsure. At least 2; 1 for fewer
// than two photos at hand, which say nothing.
func PhotosNeeded(shares []float64, half float64) int {
	if len(shares) < 2 {
		return 1
	}
	sd := stat.StdDev(shares, nil)
	t := distuv.StudentsT{Sigma: 1, Nu: float64(len(shares) - 1)}
	for n := max(2, LooksNeeded(sd, half, 0)); n < mostPhotos; n++ { // t only asks for more
		t.Nu = float64(max(n, len(shares)) - 1) // more photos would make the spread surer
		if t.Quantile(0.975)*sd/math.Sqrt(float64(n)) <= half {
			return n
		}
	}
	return mostPhotos
}

// mostPhotos of one tree: nobody takes more, and the spread is then the tree's own.
const mostPhotos = 100

// Clusters is what looks, grouped by tree, say of a block.
type Clusters struct {
	Mean float64 // of the trees' means
	// SE is the standard error of Mean by the trees' means: looks under one tree
	// are alike, so the trees are the sample.
	SE float64
	// ICC is the share of the looks' variance that lies between trees, by analysis
	// of variance, (MSB-MSW)/(MSB+(m-1)MSW) with m looks a tree (their mean size,
	// corrected for unequal ones); NaN where no tree has two looks.
	ICC float64
	// DesignEffect is 1 + (m-1) ICC (Kish 1965): so many times fewer looks they
	// count as; NaN with ICC.
	DesignEffect float64
	Trees, Looks int
}

// ClustersOf describes looks grouped by tree. Trees without a look are left out.
// With fewer than two trees SE is NaN.
func ClustersOf(byTree [][]float64) Clusters {
	c := Clusters{SE: math.NaN(), ICC: math.NaN(), DesignEffect: math.NaN()}
	var means []float64
	var within, squares float64
	for _, looks := range byTree {
		if len(looks) == 0 {
			continue
		}
		m := stat.Mean(looks, nil)
		for _, v := range looks {
			within += (v - m) * (v - m)
		}
		means = append(means, m)
		c.Looks += len(looks)
		squares += float64(len(looks) * len(looks))
	}
	if c.Trees = len(means); c.Trees == 0 {
		return c
	}
	mean, sd := stat.MeanStdDev(means, nil)
	if c.Mean = mean; c.Trees == 1 {
		return c
	}
	c.SE = stat.StdErr(sd, float64(c.Trees))
	if c.Looks == c.Trees {
		return c
	}
	c.fillICC(byTree, within, squares)
	return c
}

func (c *Clusters) fillICC(byTree [][]float64, within, squares float64) {
	n, k := float64(c.Looks), float64(c.Trees)
	between := stat.Variance(slices.Concat(byTree...), nil)*(n-1) - within
	m := (n - squares/n) / (k - 1)
	msb, msw := between/(k-1), within/(n-k)
	if msb+(m-1)*msw > 0 {
		c.ICC = (msb - msw) / (msb + (m-1)*msw)
		c.DesignEffect = 1 + (m-1)*c.ICC
	}
}

// Interval95 is the 95 % interval of Mean by Student's t of Trees-1 degrees, which
// holds for few trees where a bootstrap's percentiles are too short. Both ends are
// NaN for fewer than two trees.
func (c Clusters) Interval95() (low, high float64) {
	if c.Trees < 2 {
		return math.NaN(), math.NaN()
	}
	d := c.SE * distuv.StudentsT{Sigma: 1, Nu: float64(c.Trees - 1)}.Quantile(0.975)
	return c.Mean - d, c.Mean + d
}
