package metrics

import "math"

// Shrinking: what photos say of a tree is drawn toward its block's mean by what
// the data can tell (empirical Bayes). A block of trees that differ by more than
// the photos' errors keeps them; one whose trees differ by no more than the errors
// gives nearly one value to all.

// fewestToShrink: the spread between fewer trees than these is not known well
// enough to draw one toward another.
const fewestToShrink = 5

// shrinkBlocks shrinks one quantity's beliefs, block by block.
func shrinkBlocks(trees []ScoreTree, all []beliefs, q quantity) {
	byBlock := map[string][]int{}
	for i, t := range trees {
		if all[i][q].from == fromPhotos {
			byBlock[t.Block] = append(byBlock[t.Block], i)
		}
	}
	for _, members := range byBlock {
		if len(members) < fewestToShrink {
			continue
		}
		shrink(members, all, q)
	}
}

// shrink moves each mean y with standard deviation s to
//
//	mu + B (y - mu), B = tau2/(tau2 + s2), variance B s2 + (1-B)^2 var(mu) + (1-B)^2 (y-mu)^2 var(B)/(1-B)^2
//
// tau2 the variance between trees by the moments (DerSimonian and Laird 1986), mu
// the weighted mean. Morris 1983 (J. Am. Stat. Assoc. 78:47-55, quoted from memory)
// gives the last term, for tau2 being an estimate itself: 2 (1-B)^2/(k-3) (y-mu)^2,
// and the factor (k-3)/(k-1) on 1-B that keeps it from shrinking too far.
func shrink(members []int, all []beliefs, q quantity) {
	group := make([]look, len(members))
	for k, i := range members {
		group[k] = look{all[i][q].mean, math.Max(all[i][q].sd, leastSD)}
	}
	b := poolBetween([][]look{group})
	var sw, swy float64
	for _, l := range group {
		w := 1 / (l.sd*l.sd + b.variance)
		sw, swy = sw+w, swy+w*l.y
	}
	mu, n := swy/sw, float64(len(group))
	for k, i := range members {
		l := group[k]
		pull := (n - 3) / (n - 1) * l.sd * l.sd / (l.sd*l.sd + b.variance)
		variance := (1-pull)*l.sd*l.sd + pull*pull/sw + 2/(n-3)*pull*pull*(l.y-mu)*(l.y-mu)
		own := &all[i][q]
		own.seen, own.mean, own.sd = own.mean, l.y-pull*(l.y-mu), math.Sqrt(variance)
		own.weighed = true
	}
}
