package sideview

import (
	"math"

	"rowlight/vision"
)

// tints are a pixel's colours apart from brightness: ln(R/G) and ln(B/G), over
// 3 x 3 px so that noise in the dark does not rule them.
type tints struct {
	rg, bg []float32
}

const (
	tintHalfPx = 1
	// tintFloor is linear light below which an 8-bit picture has no colour left.
	tintFloor = 1e-3
	// Wood is near grey: bark reflects red about as green and blue not much less;
	// leaves are green over red, and both leaf and soil are poor in blue.
	woodLeastRG, woodMostRG, woodLeastBG = -0.1, 0.7, -0.9
	// splitMost training pixels are used, evenly spaced: two means and spreads
	// need thousands, not millions.
	splitMost = 20000
	// leastTrain is how many pixels of each class a split needs.
	leastTrain = 500
)

// measureTints uses the picture up: fresh memory costs more than the sums.
func measureTints(l *vision.Linear) *tints {
	r, g, b := l.R, l.G, l.B
	for _, v := range [3][]float32{r, g, b} {
		vision.BoxMean(v, l.W, tintHalfPx)
		vision.LnAll(v, tintFloor, v)
	}
	for i, lg := range g {
		r[i] -= lg
		b[i] -= lg
	}
	return &tints{rg: r, bg: b}
}

// isGrey tells whether a pixel may be wood by its own colour.
func (t *tints) isGrey(i int) bool {
	return t.rg[i] > woodLeastRG && t.rg[i] < woodMostRG && t.bg[i] > woodLeastBG
}

// bark is the cloud of wood's colours under any light, measured on no photo in
// particular: near grey, in blue sky light or in warm sun.
func bark() cloud {
	const rg, bg, sdRG, sdBG = -0.03, -0.33, 0.25, 0.38
	return cloud{n: leastTrain, mr: rg, mb: bg, vr: sdRG * sdRG, vb: sdBG * sdBG}.measured()
}

// isWood tells wood from leaf and sky above the horizon by its grey; below it by
// what is likelier of bark, this photo's own ground, which may be grey or brown
// too, and its own leaves.
func (s *split) isWood(t *tints, i int, z zone) bool {
	if z == above || s.soil.n < leastTrain {
		return t.isGrey(i)
	}
	if t.bg[i] < woodLeastBG {
		return false
	}
	rg, bg := float64(t.rg[i]), float64(t.bg[i])
	wood := s.bark.logLik(rg, bg)
	return wood > s.soil.logLik(rg, bg) && (s.leaf.n < leastTrain || wood > s.leaf.logLik(rg, bg))
}

// split is a straight line between leaf and ground colours (Fisher's linear
// discriminant, 1936), learned from this very photo: leaves from above the
// horizon, ground from below the foot of the row.
type split struct {
	wr, wb, limit float64
	dPrime        float64
	// Without ground to learn from, what looks like the leaves over the horizon is
	// leaf; without such leaves nothing is.
	leafOnly bool
	leaf     cloud
	soil     cloud // the ground's colours, trunks taken out
	bark     cloud
}

// leafChi2 is the 95 % point of chi-square with two degrees of freedom: within
// it a colour belongs to the leaves' cloud.
const leafChi2 = 5.99

func (s *split) isFoliage(rg, bg float32) bool {
	if s.leafOnly {
		return s.leaf.n >= leastTrain && s.leaf.chi2(float64(rg), float64(bg)) < leafChi2
	}
	return s.wr*float64(rg)+s.wb*float64(bg) > s.limit
}

func learnSplit(t *tints, sky []bool, z []zone) split {
	at := trainingPixels(t, sky, z)
	leaf := gather(t, at.leaf)
	soil := learnSoil(t, at.below)
	if soil.n < leastTrain { // the row's own foot lies outside the picture
		soil = learnSoil(t, at.middle)
		if leaf.n >= leastTrain && leaf.chi2(soil.mr, soil.mb) < leafChi2 {
			soil = cloud{} // mostly leaves there
		}
	}
	if leaf.n < leastTrain || soil.n < leastTrain {
		return split{leafOnly: true, leaf: leaf, soil: soil, bark: bark()}
	}
	srr, sbb := (leaf.vr+soil.vr)/2+1e-4, (leaf.vb+soil.vb)/2+1e-4
	srb := (leaf.c + soil.c) / 2
	det := srr*sbb - srb*srb
	if det < 1e-9 {
		return split{leafOnly: true, leaf: leaf, soil: soil, bark: bark()}
	}
	dr, db := leaf.mr-soil.mr, leaf.mb-soil.mb
	s := split{wr: (sbb*dr - srb*db) / det, wb: (srr*db - srb*dr) / det, soil: soil, leaf: leaf, bark: bark()}
	s.limit = s.wr*(leaf.mr+soil.mr)/2 + s.wb*(leaf.mb+soil.mb)/2
	s.dPrime = math.Sqrt(math.Max(0, s.wr*dr+s.wb*db))
	return s
}

// training are the pixels that colours are learned from.
type training struct{ leaf, middle, below []int32 }

func trainingPixels(t *tints, sky []bool, z []zone) (at training) {
	var n [sheet + 1]int
	for _, part := range z {
		n[part]++
	}
	at = training{make([]int32, 0, n[above]), make([]int32, 0, n[middle]), make([]int32, 0, n[below])}
	for i, part := range z {
		switch {
		case part == above && !sky[i] && !t.isGrey(i):
			at.leaf = append(at.leaf, int32(i))
		case part == middle:
			at.middle = append(at.middle, int32(i))
		case part == below:
			at.below = append(at.below, int32(i))
		}
	}
	return at
}

// learnSoil is the ground's cloud in a part of the picture, learned once more
// without what lies outside it: trunks, stakes, leaves.
func learnSoil(t *tints, part []int32) cloud {
	soil := gather(t, part)
	if soil.n < leastTrain {
		return soil
	}
	var ground []int32
	for _, i := range part {
		if soil.chi2(float64(t.rg[i]), float64(t.bg[i])) < leafChi2 {
			ground = append(ground, i)
		}
	}
	return gather(t, ground)
}

type cloud struct {
	n                 float64
	mr, mb, vr, vb, c float64
	lnDet             float64 // of the spreads, for logLik
}

// measured works out lnDet.
func (c cloud) measured() cloud {
	det := (c.vr+1e-4)*(c.vb+1e-4) - c.c*c.c
	c.lnDet = math.Log(math.Max(det, 1e-12))
	return c
}

// chi2 is how far a colour lies from the cloud's middle, in its own spreads
// (Mahalanobis 1936); 1e-4 keeps a cloud of one colour from being a point.
func (c *cloud) chi2(rg, bg float64) float64 {
	vr, vb := c.vr+1e-4, c.vb+1e-4
	det := vr*vb - c.c*c.c
	dr, db := rg-c.mr, bg-c.mb
	if det <= 0 {
		return math.Inf(1)
	}
	return (vb*dr*dr - 2*c.c*dr*db + vr*db*db) / det
}

// logLik is the logarithm of the normal density at a colour, but for a constant.
func (c *cloud) logLik(rg, bg float64) float64 {
	return -(c.chi2(rg, bg) + c.lnDet) / 2
}

// gather returns the mean and spread of the tints of the chosen pixels, thinned
// evenly to splitMost.
func gather(t *tints, all []int32) cloud {
	step := max(1, len(all)/splitMost)
	var s cloud
	for k := step - 1; k < len(all); k += step {
		i := all[k]
		r, b := float64(t.rg[i]), float64(t.bg[i])
		s.n++
		s.mr += r
		s.mb += b
		s.vr += r * r
		s.vb += b * b
		s.c += r * b
	}
	if s.n == 0 {
		return s
	}
	s.mr, s.mb = s.mr/s.n, s.mb/s.n
	s.vr, s.vb, s.c = s.vr/s.n-s.mr*s.mr, s.vb/s.n-s.mb*s.mb, s.c/s.n-s.mr*s.mb
	return s.measured()
}
