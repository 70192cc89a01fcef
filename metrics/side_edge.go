package metrics

import (
	"math"
	"sort"
)

// sideEdge is one side of the crown over rows of the plane: how far out of the
// trunk's line it reaches (negative where the whole crown stands beyond it), and
// whether that was seen clear of what is behind.
type sideEdge struct {
	outM, readM, clearM []float64 // as taken in the end, as read, of clear leaves
	seen, known, drawn  []bool    // foliage there; its edge clear; drawn in the end
}

// flareSlackM: single shoots stand out by so much at once.
const flareSlackM = 0.15

// outwardShare of the way from a drawn side to the outermost green is taken: a
// crown may reach anywhere up to there, and nowhere less far than drawn for long.
const outwardShare = 0.2

// edgeOriginM keeps reaches beyond the trunk's line countable from 0.
const edgeOriginM = 5.0

// edges reads one side (-1 left, +1 right) from row lo to row hi.
func (t *SideTree) edges(z *zone, lo, hi int, side float64) *sideEdge {
	p := t.Plane
	n := hi - lo + 1
	e := &sideEdge{make([]float64, n), make([]float64, n), make([]float64, n), make([]bool, n), make([]bool, n), make([]bool, n)}
	half := p.cells(edgeHalfM)
	least := int(leastEdgeM2 / (p.CellM * p.CellM))
	bins := p.cells(2 * edgeOriginM)
	reach, open := make([]int, bins), make([]int, bins)
	count := func(j, by int) {
		if j >= 0 && j < p.H {
			t.countRow(z, j, side, by, reach, open)
		}
	}
	for j := lo - half; j < lo+half; j++ {
		count(j, 1)
	}
	for k := range n {
		count(lo+k+half, 1)
		if k > 0 {
			count(lo+k-half-1, -1)
		}
		out, seen := outermost(reach, least)
		in, clearSeen := outermost(open, least)
		e.readM[k], e.clearM[k] = float64(out)*p.CellM-edgeOriginM, float64(in)*p.CellM-edgeOriginM
		if !clearSeen {
			e.clearM[k] = math.Inf(-1)
		}
		e.outM[k], e.seen[k] = e.readM[k], seen
		e.known[k] = seen && !z.hides(t.TrunkM+side*e.outM[k], p.ZM(lo+k))
	}
	return e
}

// countRow adds a row's foliage, by times, to counts by how far out it lies, of all and
// of what is clear.
func (t *SideTree) countRow(z *zone, j int, side float64, by int, reach, open []int) {
	p := t.Plane
	zM := p.ZM(j)
	for i := range p.W {
		if !t.foliage.in[j*p.W+i] {
			continue
		}
		c := int((side*(p.XM(i)-t.TrunkM) + edgeOriginM) / p.CellM)
		if c < 0 || c >= len(reach) {
			continue
		}
		reach[c] += by
		if !z.hides(p.XM(i), zM) {
			open[c] += by
		}
	}
}

// outermost is the bin beyond which fewer than least are counted.
func outermost(n []int, least int) (bin int, ok bool) {
	sum := 0
	for i := len(n) - 1; i >= 0; i-- {
		if sum += n[i]; sum >= least {
			return i, true
		}
	}
	return 0, false
}

// flare takes rows that stand out farther than a crown widens downward for
// something behind: below row from, where a crown's dome has ended.
func (e *sideEdge) flare(from int, cellM float64) {
	widest := math.Inf(-1)
	for k := len(e.known) - 1; k >= 0; k-- {
		allowed := math.Inf(1)
		if k < from && !math.IsInf(widest, -1) {
			widest += mostFlare * cellM
			allowed = widest + flareSlackM
		}
		if e.known[k] && e.outM[k] <= allowed {
			if k >= from {
				widest = math.Max(widest, e.outM[k])
			} else {
				widest = e.outM[k]
			}
		} else {
			e.known[k] = false
		}
	}
}

// draw fills the rows with foliage whose edge was not seen clear, by the
// parabola that leaves the clear rows over them as these run and meets those
// under them; and at least as far out as leaves that are clear. Where nothing
// over them is clear they stay as read.
func (e *sideEdge) draw(cellM float64) {
	for k := 0; k < len(e.known); k++ {
		if e.known[k] || !e.seen[k] {
			continue
		}
		to := k
		for to < len(e.known) && e.seen[to] && !e.known[to] {
			to++
		}
		over, ok := e.anchor(to, 1)
		if ok {
			e.drawFrom(k, to, over, cellM)
		}
		k = to
	}
}

// drawFrom draws rows k to to-1 under a clear reach.
func (e *sideEdge) drawFrom(k, to int, overM, cellM float64) {
	slope := e.slope(to, cellM)
	length := float64(to-k+1) * cellM
	under, ok := e.anchor(k-1, -1)
	if !ok { // the crown ends there
		under = endShare * math.Max(overM, overM+slope*length/2)
	}
	for m := k; m < to; m++ {
		d := float64(to-m) * cellM
		drawn := e.atLeastClear(m, overM+slope*d-(overM+slope*length-under)*(d/length)*(d/length))
		e.outM[m] = drawn + outwardShare*math.Max(0, e.readM[m]-drawn)
		e.drawn[m] = true
	}
}

// halve takes rows whose edge was not seen clear half-way from their clear
// leaves to the outermost green: where nothing tells how the crown runs, it may
// end anywhere between.
func (e *sideEdge) halve() {
	for k := range e.known {
		if e.seen[k] && !e.known[k] {
			inner := math.Min(math.Max(0, e.clearM[k]), e.readM[k])
			e.outM[k], e.drawn[k] = (inner+e.readM[k])/2, true
		}
	}
}

// atLeastClear is a drawn reach, taken out to clear leaves near it.
func (e *sideEdge) atLeastClear(k int, drawnM float64) float64 {
	if c := e.clearM[k]; c > drawnM && c < drawnM+clearMostM {
		return c
	}
	return drawnM
}

// doubt is the standard deviation of a drawn reach: it may lie anywhere from its clear
// leaves up to what was read. widerM is what of it lies outward.
func (e *sideEdge) doubt(k int) (sdM, widerM float64) {
	if e.known[k] || !e.seen[k] {
		return 0, 0
	}
	widerM = rss(2*bulgeM, drawnDoubt*math.Max(0, e.readM[k]-e.outM[k]))
	return rss(widerM, evenly*math.Max(0, e.outM[k]-math.Max(0, e.clearM[k]))), widerM
}

// slope is how fast the side widens downward over row k, metres a metre: the
// less of what the lower and the upper half of slopeBandM say, for a dome's
// sides steepen downward and a limb's end is no slope.
func (e *sideEdge) slope(k int, cellM float64) float64 {
	half := int(slopeBandM / 2 / cellM)
	near, okNear := e.anchor(k, 1)
	mid, okMid := e.anchor(k+half, 1)
	far, okFar := e.anchor(k+2*half, 1)
	if !okNear || !okMid || !okFar {
		return 0
	}
	least := math.Min(near-mid, mid-far) / (slopeBandM / 2)
	return math.Max(-mostFlare/2, math.Min(mostFlare, least))
}

// anchor is the median reach of up to 10 clear rows from one on.
func (e *sideEdge) anchor(from, step int) (float64, bool) {
	const rows = 10
	var v []float64
	for k := from; k >= 0 && k < len(e.known) && e.known[k] && len(v) < rows; k += step {
		v = append(v, e.outM[k])
	}
	if len(v) == 0 {
		return 0, false
	}
	sort.Float64s(v)
	return v[len(v)/2], true
}
