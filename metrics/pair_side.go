package metrics

import "math"

const (
	// topPatchSDM: a matcher gives neighbouring leaves one depth; a leaf hangs within a
	// cluster of leaves of it.
	topPatchSDM = 0.15
	// leafTrim of the leaf area is left out on each side of the width: what it is
	// defined by.
	leafTrim = 0.01
	// coverHalfM is the half width of what a cell's cover is taken over: a leaf and
	// its gap to each side. mostCover keeps its logarithm finite: the least gap that
	// so many cells can show.
	coverHalfM, mostCover = 0.15, 0.98
)

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

// KnownShare is the share of the tree's leaves that two photos themselves placed;
// the others were placed by those around them.
func (t *SideTree) KnownShare() float64 {
	known := 0
	for i, in := range t.foliage.in {
		if in && t.Plane.level[i]&placed != 0 {
			known++
		}
	}
	return float64(known) / math.Max(1, float64(t.foliage.count()))
}

// leafArea is the leaf area that each cell of foliage stands for, of whatever unit:
// where a share c of what is seen is covered, leaves hang -ln(1-c) deep (Beer-Lambert,
// as in PlantArea), so that a crown's dense middle counts for all its leaves and not
// for the foremost alone.
func (t *SideTree) leafArea() []float32 {
	p := t.Plane
	v, all := make([]float32, len(p.Kind)), make([]float32, len(p.Kind))
	for i, in := range t.outline.in {
		if !in {
			continue
		}
		if all[i] = 1; t.foliage.in[i] || p.Kind[i] == SideWood {
			v[i] = 1
		}
	}
	cover, within := boxShare(v, p.W, p.H, p.cells(coverHalfM)), boxShare(all, p.W, p.H, p.cells(coverHalfM))
	for i, in := range t.foliage.in {
		if !in {
			cover[i] = 0
			continue
		}
		c := math.Min(float64(cover[i]/within[i]), mostCover)
		cover[i] = float32(-math.Log1p(-c) / c)
	}
	return cover
}

// leafAt is how much leaf a cell of foliage stands for.
func (t *SideTree) leafAt(cell int) float64 {
	if t.leaf == nil {
		return 1
	}
	return float64(t.leaf[cell])
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
	if t.leaf == nil {
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
		return float64(quantileBin(n, 1-leafTrim)-quantileBin(n, leafTrim)) * p.CellM
	}
	return math.Abs(wide(all)-wide(known)) / 2
}
