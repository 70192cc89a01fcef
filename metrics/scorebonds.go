package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Numbers that go together: floor light and the outline's density are gap fractions of
// one canopy; a tree left to grow is taller, denser, and leaves a narrower alley. Where
// the trees at hand show it, one number lends to another: a floor's photo that is unsure
// is weighed not with its block's mean alone but with what trees of its density have
// there (scoretogether.go).

const (
	// fewestToBond: a block of fewer trees shows no bond, and is drawn number by number.
	fewestToBond = 8
	// mostBond keeps one number from standing in for another entirely, whatever a
	// handful of trees shows. Ours.
	mostBond = 0.9
	// chanceTimes: a correlation is weakened by this many times what chance alone makes
	// of its square. Of 1, 2 and 4, twice let invented trees whose numbers have no bond
	// keep their order and gave most of what there is to others (internal/accuracy).
	chanceTimes = 2
	// loosen is by how much bonds are weakened, again and again, until they can all be
	// true at once.
	loosen = 0.9
)

// bond is a pair of quantities that growth moves together, or against each other.
type bond struct {
	a, b quantity
	sign float64
}

// grownBonds are all pairs that may lend to each other. Two numbers of one photo
// (height and density) are left out: they may err together, which would pass for trees
// that are alike. A taper follows from nothing that is measured beside it.
func grownBonds() []bond {
	return []bond{
		{ofSunlit, ofDensity, -1}, {ofSunlit, ofHeight, -1}, {ofSunlit, ofAlley, 1},
		{ofHeight, ofAlley, -1}, {ofAlley, ofDensity, -1},
	}
}

// bonds are the correlations between quantities from tree to tree within blocks.
type bonds [quantityCount][quantityCount]float64

// noBonds: every quantity on its own.
func noBonds() bonds {
	var out bonds
	for q := range out {
		out[q][q] = 1
	}
	return out
}

// bondsOf estimates the correlations, pooled over the blocks of enough trees. With z a
// measured value less its block's mean, over the standard deviation tau between trees,
// and B = tau2/(tau2+s2) its reliability,
//
//	r = sum w z z' n/(n-1) / sum w, w = B B'
//
// is free of the photos' errors, which are independent; its variance where there is no
// bond is 1/sum w. r is drawn toward 0 by it: r max(0, 1 - chanceTimes/(r2 sum w))
// (James and Stein's form, positive part), so that what could be chance lends nothing;
// nor does a correlation that growth does not explain.
func bondsOf(blocks [][]int, among []blockSpreads, all []beliefs) bonds {
	out := noBonds()
	for _, g := range grownBonds() {
		var sum, weight float64
		for k, members := range blocks {
			s, w := products(g, members, among[k], all)
			sum, weight = sum+s, weight+w
		}
		if !(sum*g.sign > 0) { // nor a sum that is not a number
			continue
		}
		r := sum / weight
		r *= math.Max(0, 1-chanceTimes/(r*r*weight))
		r = math.Max(-mostBond, math.Min(mostBond, r))
		out[g.a][g.b], out[g.b][g.a] = r, r
	}
	return out.together()
}

// products adds up one block's part of a correlation, and its weight.
func products(g bond, members []int, among blockSpreads, all []beliefs) (sum, weight float64) {
	a, b := among[g.a], among[g.b]
	if !a.known() || !b.known() || a.tau2 == 0 || b.tau2 == 0 {
		return 0, 0
	}
	var n float64
	for _, i := range members {
		va, vb := all[i][g.a], all[i][g.b]
		if va.from != fromPhotos || vb.from != fromPhotos {
			continue
		}
		n++
		w := a.reliability(va) * b.reliability(vb)
		sum += w * (va.mean - a.mean) * (vb.mean - b.mean) / math.Sqrt(a.tau2*b.tau2)
		weight += w
	}
	if n < fewestToBond {
		return 0, 0
	}
	return sum * n / (n - 1), weight
}

// reliability is the part of a measured value's variance that is between trees.
func (s blockSpread) reliability(v belief) float64 {
	return s.tau2 / (s.tau2 + v.error()*v.error())
}

// together weakens the bonds until they can all be true at once: until the matrix is
// positive definite with mostBond in place of 1.
func (r bonds) together() bonds {
	for !r.possible() {
		for _, g := range grownBonds() {
			r[g.a][g.b] *= loosen
			r[g.b][g.a] *= loosen
		}
	}
	return r
}

func (r bonds) possible() bool {
	m := mat.NewSymDense(int(quantityCount), nil)
	for q := range quantityCount {
		for o := range q {
			m.SetSym(int(q), int(o), r[q][o])
		}
		m.SetSym(int(q), int(q), mostBond)
	}
	var c mat.Cholesky
	return c.Factorize(m)
}
