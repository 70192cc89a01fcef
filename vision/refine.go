package vision

import (
	"math"

	"rowlight/calibrate"
)

const (
	// sideMargin of a side is left out at either end, where the neighbouring
	// side's blur bends the edge.
	sideMargin = 0.07
	// maxSidePoints bounds the edge points a side is fitted to; more add nothing
	// to a line on 8-bit data.
	maxSidePoints = 64
	// A profile reaches this share of a module to either side, within these ends:
	// short enough to stay in the black border and the white paper, long enough
	// to see both levels past the blur.
	wideReachShare, wideReachMinPx, wideReachMaxPx = 0.9, 2.5, 9.0
	fineReachShare, fineReachMinPx, fineReachMaxPx = 0.45, 2.0, 5.0
	// minInlierShare of a side's points must agree on its line.
	minInlierShare = 0.4
)

// refineQuad moves a marker's corners onto the crossings of its four outer
// edges, each a robust line through sub-pixel edge points in linear light: coded
// values would let white bleed into black, and a sun patch across a corner does
// not draw a line with it. A corner without two good edges stays where it was.
func (l *lightPlane) refineQuad(c [4]calibrate.Pixel) [4]calibrate.Pixel {
	wide := l.refineOnce(c, wideReachShare, wideReachMinPx, wideReachMaxPx)
	return l.refineOnce(wide, fineReachShare, fineReachMinPx, fineReachMaxPx)
}

func (l *lightPlane) refineOnce(c [4]calibrate.Pixel, share, lo, hi float64) [4]calibrate.Pixel {
	var lines [4]line2
	var ok [4]bool
	for k := range 4 {
		a, b := c[k], c[(k+1)%4]
		reach := math.Min(hi, math.Max(lo, share*a.Dist(b)/MarkerModules))
		lines[k], ok[k] = l.fitSide(a, b, reach)
	}
	out := c
	for k := range 4 {
		prev := (k + 3) % 4
		if !ok[k] || !ok[prev] {
			continue
		}
		if p, met := lines[prev].meet(lines[k]); met {
			out[k] = p
		}
	}
	return out
}

// fitSide fits the edge of the side from a to b (clockwise, so the outside is to
// the left of the way).
func (l *lightPlane) fitSide(a, b calibrate.Pixel, reachPx float64) (line2, bool) {
	length := a.Dist(b)
	if !(length > 4) {
		return line2{}, false
	}
	dir := calibrate.Pixel{X: (b.X - a.X) / length, Y: (b.Y - a.Y) / length}
	outward := calibrate.Pixel{X: dir.Y, Y: -dir.X}
	n := int(math.Min(maxSidePoints, math.Max(8, length)))
	s, d := make([]float64, 0, n), make([]float64, 0, n)
	buf := make([]float64, 0, 2*int(wideReachMaxPx/profileStepPx)+8)
	for i := range n {
		at := length * (sideMargin + (1-2*sideMargin)*float64(i)/float64(n-1))
		p := calibrate.Pixel{X: a.X + at*dir.X, Y: a.Y + at*dir.Y}
		if off, ok := l.edgeOffset(p, outward, reachPx, buf); ok {
			s, d = append(s, at), append(d, off)
		}
	}
	line, ok := fitOffsets(s, d)
	if !ok || float64(line.inliers) < minInlierShare*float64(n) {
		return line2{}, false
	}
	norm := math.Hypot(1, line.b)
	return line2{
		p:   calibrate.Pixel{X: a.X + line.a*outward.X, Y: a.Y + line.a*outward.Y},
		dir: calibrate.Pixel{X: (dir.X + line.b*outward.X) / norm, Y: (dir.Y + line.b*outward.Y) / norm},
	}, true
}
