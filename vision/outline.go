package vision

import (
	"math"

	"rowlight/calibrate"
)

// Outline is a convex shape in a photo, ready to be asked of many pixels.
type Outline []outlineSide

type outlineSide struct {
	from   calibrate.Pixel
	dx, dy float64 // along the side
	length float64
}

// NewOutline takes a shape's corners, clockwise as seen.
func NewOutline(corners []calibrate.Pixel) Outline {
	o := make(Outline, len(corners))
	for i, a := range corners {
		d := corners[(i+1)%len(corners)].Sub(a)
		o[i] = outlineSide{a, d.X, d.Y, math.Hypot(d.X, d.Y)}
	}
	return o
}

// Holds tells whether a pixel lies in the shape or within marginPx of all its
// sides; a shape with a side of no length holds nothing.
func (o Outline) Holds(p calibrate.Pixel, marginPx float64) bool {
	for i := range o {
		s := &o[i]
		if s.length == 0 || (s.dx*(p.Y-s.from.Y)-s.dy*(p.X-s.from.X))/s.length < -marginPx {
			return false
		}
	}
	return true
}

// Across is where a row of the photo lies in the shape or within marginPx of all its
// sides, to the precision of the arithmetic; from is past to where it does not.
func (o Outline) Across(y, marginPx float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for i := range o {
		s := &o[i]
		// Inside is where dx (y - from.Y) - dy (x - from.X) + margin x length is not negative.
		rest := s.dx*(y-s.from.Y) + marginPx*s.length
		switch {
		case s.dy > 0:
			to = math.Min(to, s.from.X+rest/s.dy)
		case s.dy < 0:
			from = math.Max(from, s.from.X+rest/s.dy)
		case !(rest >= 0) || s.length == 0:
			return math.Inf(1), math.Inf(-1)
		}
	}
	return from, to
}
