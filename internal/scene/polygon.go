package scene

import "math"

// point2 is a corner in a raster's own space: x right, y down, cell or sample
// centres on whole numbers.
type point2 struct{ X, Y float64 }

// window is the half-open part of a raster that may be touched.
type window struct{ x0, y0, x1, y1 int }

// fill calls span for every row of a convex polygon with the samples whose
// centres lie inside, x from first up to but not including end.
func fill(p []point2, w window, span func(y, first, end int)) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range p {
		lo, hi = min(lo, c.Y), max(hi, c.Y)
	}
	y0, y1 := clampInt(math.Ceil(lo), w.y0, w.y1), clampInt(math.Ceil(hi), w.y0, w.y1)
	for y := y0; y < y1; y++ {
		left, right := rowSpan(p, float64(y))
		first, end := clampInt(math.Ceil(left), w.x0, w.x1), clampInt(math.Ceil(right), w.x0, w.x1)
		if first < end {
			span(y, first, end)
		}
	}
}

// rowSpan returns where a row cuts the outline of a convex polygon.
func rowSpan(p []point2, y float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	a := p[len(p)-1]
	for _, b := range p {
		if (a.Y <= y) != (b.Y <= y) {
			x := a.X + (y-a.Y)*(b.X-a.X)/(b.Y-a.Y)
			if x < left {
				left = x
			}
			if x > right {
				right = x
			}
		}
		a = b
	}
	return left, right
}

// clampInt turns a whole float into an int within lo..hi, whatever its size.
func clampInt(v float64, lo, hi int) int {
	if !(v > float64(lo)) {
		return lo
	}
	if v > float64(hi) {
		return hi
	}
	return int(v)
}
