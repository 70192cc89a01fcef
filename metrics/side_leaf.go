package metrics

import "math"

const (
	// coverHalfM is the half width of what a cell's cover is taken over: a leaf and
	// its gap to each side. mostCover keeps its logarithm finite: the least gap that
	// so many cells can show.
	coverHalfM, mostCover = 0.15, 0.98
)

// leafArea is the leaf area that each cell of foliage stands for, of whatever unit:
// where a share c of what is seen is covered, leaves hang -ln(1-c) deep (Beer-Lambert;
// Monsi and Saeki 1953), so that a crown's dense middle counts for all its leaves and not
// for the foremost alone. Beyond the outline all is open: a crown thins out toward it,
// and what is inside alone would count its rim as dense as what lies behind the rim.
func (t *SideTree) leafArea() []float32 {
	p := t.Plane
	v := make([]float32, len(p.Kind))
	for i, in := range t.outline.in {
		if in && (t.foliage.in[i] || p.Kind[i] == SideWood) {
			v[i] = 1
		}
	}
	cover := boxShare(v, p.W, p.H, p.cells(coverHalfM))
	for i, in := range t.foliage.in {
		if !in {
			cover[i] = 0
			continue
		}
		c := math.Min(float64(cover[i]), mostCover)
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
