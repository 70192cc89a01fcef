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
	t.sums = nil
	p, b := t.Plane, t.box
	mark := func(j, from int, row []uint8) {
		at := j*p.W + from
		outline, foliage, kind := t.outline.in[at:][:len(row)], t.foliage.in[at:][:len(row)], p.Kind[at:][:len(row)]
		for i, in := range outline {
			row[i] = 0
			if in && (foliage[i] || kind[i] == SideWood) {
				row[i] = 1
			}
		}
	}
	deep := func(marked, cells int) float32 {
		cover := float64(float32(float64(marked) / float64(cells)))
		c := math.Min(cover, mostCover)
		return float32(-math.Log1p(-c) / c)
	}
	count := newBoxCounts(b, p.W, p.H, p.cells(coverHalfM), mark, deep)
	wide := b.x1 - b.x0
	leaf := make([]float32, wide*(b.y1-b.y0))
	for j := b.y0; j < b.y1; j++ {
		row := leaf[(j-b.y0)*wide:][:wide]
		count.next()
		count.values(row)
		for i, in := range t.foliage.in[j*p.W+b.x0:][:wide] {
			if !in {
				row[i] = 0
			}
		}
	}
	return leaf
}

// leafAt is how much leaf a cell of foliage stands for.
func (t *SideTree) leafAt(cell int) float64 {
	if t.leaf == nil {
		return 1
	}
	b := t.box
	return float64(t.leaf[(cell/t.Plane.W-b.y0)*(b.x1-b.x0)+cell%t.Plane.W-b.x0])
}
