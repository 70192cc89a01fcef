package metrics

import (
	"math"
	"slices"
	"sort"
)

// sideEdge is one side of the crown over rows of the plane: how far out of the
// trunk's line it reaches (negative where the whole crown stands beyond it), and
// whether that was seen clear of what is behind.
type sideEdge struct {
	outM, readM, clearM []float64 // as taken in the end, as read, of clear leaves
	seen, known, drawn  []bool    // foliage there; its edge clear; drawn in the end
	bySun               []bool    // known by the sun's shade
}

// flareSlackM: single shoots stand out by so much at once.
const flareSlackM = 0.15

// sunFlare is how fast a side that the sun's shade tells may widen downward from where it
// is clear, metres a metre: the crown of a tree behind stands out at once.
const sunFlare = 0.5

// sunInM: the shade is looked for with some slack (depthSlackM and more), so that such a side
// comes out too far by about half of it. sunInwardSD of the way to the clear leaves is left
// open (evenly over the whole way would be 0.29).
const sunInM, sunInwardSD = 0.075, 0.20

// outwardShare of the way from a drawn side to the outermost green is taken: a
// crown may reach anywhere up to there, and nowhere less far than drawn for long.
const outwardShare = 0.2

// edgeOriginM keeps reaches beyond the trunk's line countable from 0.
const edgeOriginM = 5.0

func newSideEdge(n int) *sideEdge {
	return &sideEdge{make([]float64, n), make([]float64, n), make([]float64, n), make([]bool, n), make([]bool, n), make([]bool, n), make([]bool, n)}
}

// edges reads both sides from row lo to row hi.
func (t *SideTree) edges(z *zone, lo, hi int) (left, right *sideEdge) {
	p := t.Plane
	n, half := hi-lo+1, p.cells(edgeHalfM)
	left, right = newSideEdge(n), newSideEdge(n)
	c := t.markClear(z)
	for j := lo - half; j < lo+half; j++ {
		c.slide(j, 1)
	}
	toLeft, toRight := t.outward(-1), t.outward(1)
	for k := range n {
		c.slide(lo+k+half, 1)
		if k > 0 {
			c.slide(lo+k-half-1, -1)
		}
		zM := p.ZM(lo + k)
		left.read(k, c, toLeft, p.CellM)
		left.judge(k, t, z, zM, -1)
		right.read(k, c, toRight, p.CellM)
		right.judge(k, t, z, zM, 1)
	}
	return left, right
}

// read takes height k's reach from the cells about it.
func (e *sideEdge) read(k int, c *clearCounts, to []reach, cellM float64) {
	least := int(leastEdgeM2 / (cellM * cellM))
	out, seen := outermost(c.all, to, least)
	in, clearSeen := outermost(c.clear, to, least)
	e.readM[k], e.clearM[k] = float64(out)*cellM-edgeOriginM, float64(in)*cellM-edgeOriginM
	if !clearSeen {
		e.clearM[k] = math.Inf(-1)
	}
	e.outM[k], e.seen[k] = e.readM[k], seen
}

// judge tells whether height k's reach is the crown's own: clear of what is behind, or
// ending where the sun's shade says.
func (e *sideEdge) judge(k int, t *SideTree, z *zone, zM, side float64) {
	at := t.TrunkM + side*e.outM[k]
	hidden := z.hides(at, zM)
	e.bySun[k] = e.seen[k] && hidden && t.sunless != nil && t.sunless.ends(at, zM, side)
	e.known[k] = e.seen[k] && (!hidden || e.bySun[k])
}

// reach is how many cells from edgeOriginM on the other side of the trunk's line a
// column of the box lies.
type reach struct{ column, out int }

// outward lists the columns from the outermost on one side (-1 left, +1 right) inward.
func (t *SideTree) outward(side float64) []reach {
	p, b := t.Plane, t.box
	most := p.cells(2 * edgeOriginM)
	var all []reach
	for i := b.x0; i < b.x1; i++ {
		if out := int((side*(p.XM(i)-t.TrunkM) + edgeOriginM) / p.CellM); out >= 0 && out < most {
			all = append(all, reach{i - b.x0, out})
		}
	}
	if side > 0 {
		slices.Reverse(all)
	}
	return all
}

// outermost is how far out no fewer than least are counted.
func outermost(n []int32, to []reach, least int) (out int, ok bool) {
	sum := 0
	for _, r := range to {
		if sum += int(n[r.column]); sum >= least {
			return r.out, true
		}
	}
	return 0, false
}

// clearCounts count a few rows' cells of foliage by the columns of the tree's box: all,
// and those that are clear of what is behind.
type clearCounts struct {
	box        cellBox
	mark       []uint8 // by cell of the box, of markLeaf and markClear
	all, clear []int32
}

// What a cell of foliage is marked with.
const markLeaf, markClear = 1, 2

func (t *SideTree) markClear(z *zone) *clearCounts {
	p, b := t.Plane, t.box
	wide := b.x1 - b.x0
	c := &clearCounts{b, make([]uint8, wide*(b.y1-b.y0)), make([]int32, wide), make([]int32, wide)}
	for j := b.y0; j < b.y1; j++ {
		zM := p.ZM(j)
		all, byCrowns := z.atHeight(zM)
		row := c.mark[(j-b.y0)*wide:][:wide]
		for i, in := range t.foliage.in[j*p.W+b.x0:][:wide] {
			switch {
			case !in:
			case all || byCrowns && z.next.hides(p.XM(b.x0+i), zM):
				row[i] = markLeaf
			default:
				row[i] = markLeaf | markClear
			}
		}
	}
	return c
}

// slide counts a row of the plane, by times.
func (c *clearCounts) slide(j int, by int32) {
	if j < c.box.y0 || j >= c.box.y1 {
		return
	}
	wide := len(c.all)
	clear := c.clear[:wide]
	for i, m := range c.mark[(j-c.box.y0)*wide:][:wide] {
		c.all[i] += by * int32(m&markLeaf)
		clear[i] += by * int32(m/markClear)
	}
}

// flare takes rows that stand out farther than a crown widens downward for
// something behind: below row from, where a crown's dome has ended.
func (e *sideEdge) flare(from int, cellM float64) {
	widest, over := math.Inf(-1), math.Inf(1) // over: what the clear rows over it allow a side
	for k := len(e.known) - 1; k >= 0; k-- {
		over += sunFlare * cellM
		if e.known[k] && !e.bySun[k] {
			over = e.outM[k] + flareSlackM
		}
		allowed := math.Inf(1)
		if e.bySun[k] {
			allowed = over
		}
		if k < from && !math.IsInf(widest, -1) {
			widest += mostFlare * cellM
			allowed = math.Min(allowed, widest+flareSlackM)
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

// inward takes sides that the sun's shade tells, which is the most that they can reach, a
// little toward their clear leaves.
func (e *sideEdge) inward() {
	for k := range e.known {
		if e.known[k] && e.bySun[k] {
			e.outM[k] -= math.Min(sunInM, math.Max(0, e.readM[k]-math.Max(0, e.clearM[k])))
		}
	}
}

// told tells whether a side was drawn or told by the sun's shade, and not read.
func (e *sideEdge) told(k int) bool { return e.drawn[k] || e.known[k] && e.bySun[k] }

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
	if e.known[k] && e.bySun[k] {
		return rss(sunEdgeSDM, sunInwardSD*(e.readM[k]-math.Max(0, e.clearM[k]))), sunEdgeSDM
	}
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
