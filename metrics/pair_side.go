package metrics

import (
	"math"
	"sort"
)

// SideDepthPoint is a leaf that two photos of a tree show: where it is drawn on the
// row's plane, and how far before that plane it hangs, toward the camera (metres;
// negative behind).
type SideDepthPoint struct {
	At      SidePoint
	BeforeM float64
}

const (
	// topNearM and topUnderM bound the leaves that stand for a place of the skyline:
	// a cluster of leaves to each side and under it.
	topNearM, topUnderM = 0.20, 0.35
	// leastTopPoints of them must be seen.
	leastTopPoints = 12
	// topPatchSDM: what hangs just under the skyline stands for the skyline's own
	// leaf to within a cluster of leaves in depth.
	topPatchSDM = 0.15
	// leastTops: the share of the skyline that must be known by depth.
	leastTops = 0.5
	// pairDeepM: farther before or behind the row's plane a leaf is another tree's.
	pairDeepM = 2.5
)

// PairHeight is the top of the foliage above the ground by the depths that a pair of
// photos gives, without a guess at the crown's depth. ok is false where too little of
// the skyline was found in both. A top that the picture cuts off is not for this.
func (t *SideTree) PairHeight(points []SideDepthPoint) (l SideLength, ok bool) {
	own := t.ownPoints(points)
	p := t.Plane
	h, d := p.CameraHeightM, p.DistanceM
	type top struct {
		z  float64
		at SidePoint
	}
	var tops []top
	sky := t.skyline()
	for _, s := range sky {
		before, found := depthUnder(own, s)
		if found {
			tops = append(tops, top{h + (s.ZM-h)*(d-before)/d, s})
		}
	}
	if len(sky) == 0 || float64(len(tops)) < leastTops*float64(len(sky)) {
		return SideLength{}, false
	}
	sort.SliceStable(tops, func(i, j int) bool { return tops[i].z < tops[j].z })
	k := min(len(tops)-1, int(skylineQuantile*float64(len(tops))))
	depth := topPatchSDM / d * math.Abs(tops[k].at.ZM-h)
	l = SideLength{M: tops[k].z, SDM: rss(depth, edgeSDM, standSDM), Points: []SidePoint{tops[k].at}}
	l.Parts = sideParts(depth, edgeSDM, standSDM)
	return l, true
}

// ownPoints are those on the tree's own foliage.
func (t *SideTree) ownPoints(points []SideDepthPoint) []SideDepthPoint {
	p := t.Plane
	var out []SideDepthPoint
	for _, q := range points {
		i, j := p.Column(q.At.XM), p.Row(q.At.ZM)
		if i >= 0 && j >= 0 && i < p.W && j < p.H && t.foliage.in[j*p.W+i] && math.Abs(q.BeforeM) < pairDeepM {
			out = append(out, q)
		}
	}
	return out
}

// depthUnder is the median depth of the leaves at and under a place of the skyline.
func depthUnder(own []SideDepthPoint, s SidePoint) (beforeM float64, ok bool) {
	var v []float64
	for _, q := range own {
		if math.Abs(q.At.XM-s.XM) <= topNearM && q.At.ZM <= s.ZM+0.02 && q.At.ZM >= s.ZM-topUnderM {
			v = append(v, q.BeforeM)
		}
	}
	if len(v) < leastTopPoints {
		return 0, false
	}
	sort.Float64s(v)
	return v[len(v)/2], true
}
