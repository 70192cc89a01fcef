package floorlight

import (
	"math"

	"rowlight/calibrate"
)

// polygon is a convex quadrangle in the reduced copy's pixels.
type polygon [4]calibrate.Pixel

// newPolygon brings photo pixels to the reduced copy and scales the quadrangle
// about its middle.
func newPolygon(q [4]calibrate.Pixel, factor int, scale float64) polygon {
	var out polygon
	f := float64(factor)
	for i, c := range q {
		out[i] = calibrate.Pixel{X: (c.X+0.5)/f - 0.5, Y: (c.Y+0.5)/f - 0.5}
	}
	mid := out.centre()
	for i, c := range out {
		d := c.Sub(mid)
		out[i] = calibrate.Pixel{X: mid.X + scale*d.X, Y: mid.Y + scale*d.Y}
	}
	return out
}

func (p polygon) centre() calibrate.Pixel {
	var m calibrate.Pixel
	for _, c := range p {
		m.X += c.X / 4
		m.Y += c.Y / 4
	}
	return m
}

// has tells whether a point lies inside, whichever way the corners run.
func (p polygon) has(x, y float64) bool {
	left, right := false, false
	for i, a := range p {
		b := p[(i+1)%4]
		side := (b.X-a.X)*(y-a.Y) - (b.Y-a.Y)*(x-a.X)
		left, right = left || side < 0, right || side > 0
	}
	return left != right
}

// each hands over the pixels, by number, of a raster of w x h that lie inside.
func (p polygon) each(w, h int, do func(i int)) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, c := range p {
		x0, y0, x1, y1 = math.Min(x0, c.X), math.Min(y0, c.Y), math.Max(x1, c.X), math.Max(y1, c.Y)
	}
	whole := func(v float64, n int) int { return int(math.Max(0, math.Min(v, float64(n)))) }
	for y := whole(y0, h); y < whole(y1+1, h); y++ {
		for x := whole(x0, w); x < whole(x1+1, w); x++ {
			if p.has(float64(x), float64(y)) {
				do(y*w + x)
			}
		}
	}
}
