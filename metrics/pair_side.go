package metrics

import "math"

// topPatchSDM: a matcher gives neighbouring leaves one depth; a leaf hangs within a
// cluster of leaves of it.
const topPatchSDM = 0.15

// FindLevelTree cuts the tree at the board out of a row that was laid level (see
// SidePlane.Levelled). Its trunks are looked for in the view that this came from.
// The error is an *Unusable.
func FindLevelTree(view, level *SidePlane) (*SideTree, error) {
	t, err := cutOut(level, findTrunks(view))
	if err != nil {
		return nil, err
	}
	t.leaf = t.leafArea()
	t.findCuts()
	return t, nil
}

// level tells whether the tree's leaves stand where two photos placed them; else they
// are as drawn on the row's plane.
func (t *SideTree) level() bool { return t.Plane.level != nil }

// KnownShare is the share, 0 to 1, of a level tree's leaves that two photos themselves
// placed; the others were placed by those around them.
func (t *SideTree) KnownShare() float64 {
	known := 0
	for i, in := range t.foliage.in {
		if in && t.Plane.level[i]&placed != 0 {
			known++
		}
	}
	return float64(known) / math.Max(1, float64(t.foliage.count()))
}

// levelTop is the height under which topQuantile of the leaves hang, and its place;
// NaN for an empty crown. sdM is what the leaves' depth leaves open of it.
func (t *SideTree) levelTop() (zM float64, at SidePoint, sdM float64) {
	p := t.Plane
	zM = t.heightQuantile(topQuantile)
	if math.IsNaN(zM) {
		return zM, at, 0
	}
	var n, x float64
	for i := range p.W {
		for j := p.Row(zM); j < p.H; j++ {
			if t.foliage.in[j*p.W+i] {
				n, x = n+1, x+p.XM(i)
			}
		}
	}
	return zM, SidePoint{x / n, zM}, topPatchSDM / p.DistanceM * math.Abs(zM-p.CameraHeightM)
}

// unplacedSD is how much of a level tree's width, one standard deviation, hangs on
// leaves that only their neighbours placed.
func (t *SideTree) unplacedSD() float64 {
	if !t.level() {
		return 0
	}
	p := t.Plane
	all, known := make([]float64, p.W), make([]float64, p.W)
	for i, in := range t.foliage.in {
		if in {
			all[i%p.W] += t.leafAt(i)
			if p.level[i]&placed != 0 {
				known[i%p.W] += t.leafAt(i)
			}
		}
	}
	wide := func(n []float64) float64 {
		return float64(quantileBin(n, 1-widthTrim)-quantileBin(n, widthTrim)) * p.CellM
	}
	return math.Abs(wide(all)-wide(known)) / 2
}
