package vision

// #include "robust.h"
import "C"

const (
	robustRounds = 6
	// cauchyScale: residuals beyond 1.5 robust SDs lose their say.
	cauchyScale = 1.5
	leastSpread = 1e-6
)

// RobustLine fits ys against xs, as many of them and at least one, by reweighted least
// squares (Cauchy weights). Spread is the residuals' MAD as an SD, right to a hundredth.
func RobustLine(xs, ys []float32) FloorLine {
	n := C.int(len(xs))
	var l FloorLine
	k := 0.0 // at first all weigh the same
	for range robustRounds {
		var s [5]float64
		C.rl_line_sums(floatsOf(xs), floatsOf(ys), n, C.float(l.A), C.float(l.B), C.float(k), doublesOf(s[:]))
		l.A, l.B = lineOf(s)
		l.Spread = madToSD*float64(C.rl_line_median(floatsOf(xs), floatsOf(ys), n, C.float(l.A), C.float(l.B))) + leastSpread
		k = 1 / (cauchyScale * l.Spread * cauchyScale * l.Spread)
	}
	return l
}

// lineOf is the line of least squares by the sums of the weights, and by them of x, y, x x
// and x y; level where x hardly varies.
func lineOf(s [5]float64) (a, b float64) {
	w, x, y, xx, xy := s[0], s[1], s[2], s[3], s[4]
	if det := w*xx - x*x; det > 1e-9*w*w {
		b = (w*xy - x*y) / det
	}
	return (y - b*x) / w, b
}
