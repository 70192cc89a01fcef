package vision

// #include "angles.h"
import "C"

// Marked are points, some of them marked.
type Marked struct {
	X, Y []float64
	Mark []bool
	work []float64
}

// AngleVotes counts, by the direction they are seen in from (x, y), the points whose
// squared distance is from least to most: all of them and the marked, in as many bins of
// equal angle as all and marked are long, from minus half a turn on. It adds to both. One
// set of points serves one caller at a time.
func (m *Marked) AngleVotes(x, y, least, most float64, all, marked []float64) {
	n := len(m.X)
	if n == 0 {
		return
	}
	if len(m.work) < n {
		m.work = make([]float64, n)
	}
	C.rl_angle_votes(doublesOf(m.X), doublesOf(m.Y), boolsOf(m.Mark), C.int(n), C.double(x), C.double(y),
		C.double(least), C.double(most), C.int(len(all)), doublesOf(m.work), doublesOf(all), doublesOf(marked))
}
