package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
)

// edgePair is two boards that stand at the foliage edges of an alley.
type edgePair struct {
	left, right *calibrate.BoardPose
	width       metrics.Estimate
	outer       [2]calibrate.Pixel // middles of their outer edges
	outerM      [2]float64         // and how far each stands outward of the middle board's middle
	// marked is true where a third board between them marks the centre line. Of two
	// alone, one may be the middle board and the third not seen.
	marked bool
}

// stands tells whether the boards can stand at both walls' faces, as the photo
// itself places these. Two boards alone are believed only if it does: one at an
// edge and one in the middle would halve the alley.
func (p *edgePair) stands(a *metrics.Alley) bool {
	if p.marked {
		return true
	}
	if a == nil {
		return false
	}
	for i, out := range p.outerM {
		if face := a.SideAt(i == 1); out < face.Low95 || out > face.High95 {
			return false
		}
	}
	return true
}

// unmarked says that two boards were not believed.
const unmarked = "two boards in line, but the photo does not show walls at both: one may be the middle board, the third not found; make all three show"

const (
	// pairDepthM is how far apart in depth two boards of one cross-section may
	// stand; pairDepthRel is what the focal length and the corners leave open.
	pairDepthM, pairDepthRel = 0.40, 0.03
	// touchM is how well a board is pushed against a wall of leaves, each side
	// (common practice: a hand's width).
	touchM = 0.03
	// sheetM is the sheet's width: a board within one of the middle is no edge.
	sheetM = calibrate.SheetWidthMM / 1000
)

// edgeBoards finds two boards at the foliage edges: the outer ones of three in
// line, or two that stand clearly left and right of the way to the rows'
// vanishing point. nil where there are none.
func (c *alleyScene) edgeBoards() *edgePair {
	n := len(c.boards)
	if n < 2 {
		return nil
	}
	l, r := c.boards[0], c.boards[n-1]
	xl, yl := c.place(l)
	xr, yr := c.place(r)
	if math.Abs(yl-yr) > pairDepthM+pairDepthRel*(yl+yr) {
		return nil
	}
	middle := 0.0
	if n > 2 {
		middle, _ = c.place(c.pose)
		if c.pose == l || c.pose == r {
			return nil
		}
	}
	if xl > middle-sheetM || xr < middle+sheetM {
		return nil
	}
	p := &edgePair{left: l, right: r, marked: n > 2}
	centre, _ := c.place(c.pose)
	var at, variance float64
	parts := []calibrate.Part{{Name: metrics.PartSegmentation, SD: math.Sqrt2 * touchM}}
	for i, b := range [2]*calibrate.BoardPose{l, r} {
		edge := calibrate.Vec3{float64(i) * sheetM, calibrate.SheetHeightMM / 2000, 0}
		across := func(q *calibrate.BoardPose) float64 { return q.ToCamera(edge).Dot(c.right) }
		m := b.Propagate(across)
		at += float64(2*i-1) * m.M
		p.outerM[i] = float64(2*i-1) * (m.M - centre)
		variance += m.SDM*m.SDM + touchM*touchM
		parts = append(parts, b.Breakdown(across)...)
		p.outer[i], _ = b.Project(edge)
	}
	p.width = metrics.FromLength(calibrate.Length{M: at, SDM: math.Sqrt(variance)})
	p.width.Parts = calibrate.Joined(parts)
	return p
}

// place is where a board's middle stands: to the right and ahead.
func (c *alleyScene) place(b *calibrate.BoardPose) (rightM, aheadM float64) {
	p := b.ToCamera(calibrate.SheetCentre())
	return p.Dot(c.right), p.Dot(c.ahead)
}
