package sideview

import (
	"math"

	"rowlight/vision"
)

const (
	// tintHalfPx: tints are taken over 3 x 3 px so that noise in the dark does not rule
	// them.
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

// grey is what may be wood by its own colour.
func grey() vision.GreyTint {
	return vision.GreyTint{LeastRG: woodLeastRG, MostRG: woodMostRG, LeastBG: woodLeastBG}
}

// bark is the cloud of wood's colours under any light, measured on no photo in
// particular: near grey, in blue sky light or in warm sun.
func bark() cloud {
	const rg, bg, sdRG, sdBG = -0.03, -0.33, 0.25, 0.38
	return cloud{n: leastTrain, mr: rg, mb: bg, vr: sdRG * sdRG, vb: sdBG * sdBG}.measured()
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

// asked is what classes each pixel under the horizon. Wood is told from leaf and sky above it
// by its grey; below it by what is likelier of bark, this photo's own ground, which may be grey
// or brown too, and its own leaves.
func (s *split) asked() *vision.TintSplit {
	return &vision.TintSplit{
		Grey: grey(), Bark: s.bark.spread(), Soil: s.soil.spread(), Leaf: s.leaf.spread(),
		OnlyGrey: s.soil.n < leastTrain, HasLeaf: s.leaf.n >= leastTrain,
		WeightRG: s.wr, WeightBG: s.wb, Limit: s.limit, Near2: leafChi2, LeafOnly: s.leafOnly,
	}
}

// learnSplit learns from a picture that is classed above the horizon, and holds no class of
// foliage elsewhere.
func learnSplit(t *vision.Tints, kind []Class, zone []vision.Zone) split {
	mark := make([]uint8, len(zone))
	leaf := gather(t, vision.EveryMark(kind, Foliage, splitMost))
	soil := learnSoil(t, zone, vision.ZoneBelow, mark)
	if soil.n < leastTrain { // the row's own foot lies outside the picture
		soil = learnSoil(t, zone, vision.ZoneMiddle, mark)
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

// learnSoil is the ground's cloud in a zone of the picture, learned once more without what
// lies outside it: trunks, stakes, leaves. mark is written to.
func learnSoil(t *vision.Tints, zone []vision.Zone, of vision.Zone, mark []uint8) cloud {
	soil := gather(t, vision.EveryMark(zone, of, splitMost))
	if soil.n < leastTrain {
		return soil
	}
	t.NearMarks(zone, of, soil.spread(), leafChi2, mark)
	return gather(t, vision.EveryMark(mark, 1, splitMost))
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

// spread is the cloud with 1e-4 more variance, which keeps one of a single colour from
// being a point.
func (c *cloud) spread() vision.TintCloud {
	return vision.TintCloud{MeanRG: c.mr, MeanBG: c.mb, VarRG: c.vr + 1e-4, VarBG: c.vb + 1e-4, Cov: c.c, LnDet: c.lnDet}
}

// chi2 is how far a colour lies from the cloud's middle, in its own spreads
// (Mahalanobis 1936).
func (c *cloud) chi2(rg, bg float64) float64 {
	vr, vb := c.vr+1e-4, c.vb+1e-4
	det := vr*vb - c.c*c.c
	dr, db := rg-c.mr, bg-c.mb
	if det <= 0 {
		return math.Inf(1)
	}
	return (vb*dr*dr - 2*c.c*dr*db + vr*db*db) / det
}

// gather returns the mean and spread of the tints of some pixels.
func gather(t *vision.Tints, at []int32) cloud {
	var s cloud
	for _, i := range at {
		r, b := float64(t.RG[i]), float64(t.BG[i])
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
