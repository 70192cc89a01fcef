package vision

import (
	"math"

	"rowlight/calibrate"
)

const (
	// Edge profiles inside a marker reach this share of a module to either side,
	// within these ends: past the blur, not into the next cell.
	cellReachShare, cellReachMinPx, cellReachMaxPx = 0.45, 1.25, 4.0
	// cellPointPx apart are the points along a cell's edge, at most
	// maxCellPoints; the outer fifths are left out, where the blur of crossing
	// edges rounds them.
	cellPointPx    = 1.5
	maxCellPoints  = 6
	cellEdgeMargin = 0.2
	// patternRounds of measuring and stepping; most markers settle in three.
	patternRounds = 5
	// clippedLight is linear light of code 250: whiter is taken as clipped.
	clippedLight = 0.956
	// patternNearPx: an edge point this near to its place agrees with the print.
	patternNearPx = 0.6
)

// cellEdge is a straight piece of a marker's print between a black and a white
// cell, in modules from the marker's top left; outward points to the white.
type cellEdge struct{ x0, y0, x1, y1, outX, outY float64 }

// edgesOf lists the black to white edges of a marker, white paper all round.
func edgesOf(black [MarkerModules][MarkerModules]bool) []cellEdge {
	white := func(r, c int) bool {
		return r < 0 || c < 0 || r >= MarkerModules || c >= MarkerModules || !black[r][c]
	}
	var out []cellEdge
	add := func(lowWhite, highWhite bool, e cellEdge, dx, dy float64) {
		if lowWhite == highWhite {
			return
		}
		if lowWhite {
			dx, dy = -dx, -dy
		}
		e.outX, e.outY = dx, dy
		out = append(out, e)
	}
	for i := 0; i <= MarkerModules; i++ {
		for j := range MarkerModules {
			a, b := float64(i), float64(j)
			add(white(i-1, j), white(i, j), cellEdge{x0: b, y0: a, x1: b + 1, y1: a}, 0, 1)
			add(white(j, i-1), white(j, i), cellEdge{x0: a, y0: b, x1: a, y1: b + 1}, 1, 0)
		}
	}
	return out
}

// edgePoint is one measured point of the print's edges.
type edgePoint struct {
	u, v     float64         // place in the marker, 0..1
	outward  calibrate.Pixel // unit, towards white
	offsetPx float64         // measured minus expected, outward
	clipped  bool
	found    bool
}

// patternFit is a marker fitted to its whole print.
type patternFit struct {
	corners [4]calibrate.Pixel
	// agree is the share of edge points that lie where the print has them.
	agree float64
}

// fitPattern moves a marker's corners so that all of its printed edges, not the
// outer four alone, lie where the photo has them: robust least squares on the
// points' offsets. Edges that look outward and edges that look inward pull
// opposite ways, so how far white spreads over black comes out of the fit
// instead of shrinking the marker.
func (l *lightPlane) fitPattern(c [4]calibrate.Pixel, edges []cellEdge) (patternFit, bool) {
	fit := patternFit{corners: c}
	for range patternRounds {
		pts, ok := l.measurePattern(fit.corners, edges)
		if !ok {
			return fit, false
		}
		step, agree, ok := solvePattern(pts)
		if !ok {
			return fit, false
		}
		fit.agree = agree
		var moved float64
		for k := range 4 {
			fit.corners[k].X += step[k].X
			fit.corners[k].Y += step[k].Y
			moved = math.Max(moved, math.Hypot(step[k].X, step[k].Y))
		}
		if moved < 0.01 {
			break
		}
	}
	return fit, true
}

// measurePattern reads the photo along every edge of the print.
func (l *lightPlane) measurePattern(c [4]calibrate.Pixel, edges []cellEdge) ([]edgePoint, bool) {
	const m = MarkerModules
	h, err := calibrate.Homography([]calibrate.Pixel{{X: 0, Y: 0}, {X: m, Y: 0}, {X: m, Y: m}, {X: 0, Y: m}}, c[:])
	if err != nil {
		return nil, false
	}
	var pts []edgePoint
	buf := make([]float64, 0, 64)
	for _, e := range edges {
		a, b := h.Apply(calibrate.Pixel{X: e.x0, Y: e.y0}), h.Apply(calibrate.Pixel{X: e.x1, Y: e.y1})
		length := a.Dist(b)
		if !(length > 1) {
			return nil, false
		}
		outward := towards(calibrate.Pixel{X: (b.Y - a.Y) / length, Y: (a.X - b.X) / length}, h, e)
		reach := math.Min(cellReachMaxPx, math.Max(cellReachMinPx, cellReachShare*length))
		n := int(math.Min(maxCellPoints, math.Max(2, length/cellPointPx)))
		for i := range n {
			f := cellEdgeMargin + (1-2*cellEdgeMargin)*float64(i)/float64(n-1)
			x, y := e.x0+f*(e.x1-e.x0), e.y0+f*(e.y1-e.y0)
			p := edgePoint{u: x / m, v: y / m, outward: outward}
			p.offsetPx, p.clipped, p.found = l.edgeAt(h.Apply(calibrate.Pixel{X: x, Y: y}), outward, reach, buf)
			pts = append(pts, p)
		}
	}
	return pts, true
}

// towards turns a normal to the side on which the edge's white lies.
func towards(n calibrate.Pixel, h calibrate.Mat3, e cellEdge) calibrate.Pixel {
	mx, my := (e.x0+e.x1)/2, (e.y0+e.y1)/2
	a := h.Apply(calibrate.Pixel{X: mx, Y: my})
	w := h.Apply(calibrate.Pixel{X: mx + e.outX/4, Y: my + e.outY/4}).Sub(a)
	if w.X*n.X+w.Y*n.Y < 0 {
		return calibrate.Pixel{X: -n.X, Y: -n.Y}
	}
	return n
}

// edgeAt is edgeOffset that also tells whether the white side clips.
func (l *lightPlane) edgeAt(at, outward calibrate.Pixel, reachPx float64, buf []float64) (off float64, clipped, ok bool) {
	v, ok := l.profile(at, outward, reachPx, buf)
	if !ok {
		return 0, false, false
	}
	black, white := edgeLevels(v)
	if white < minEdgeRatio*black {
		return 0, false, false
	}
	off, ok = crossing(v, (black+white)/2)
	return off, white > clippedLight, ok
}
