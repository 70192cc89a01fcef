package vision

// #include "angles.h"
import "C"

import (
	"fmt"
	"unsafe"
)

// Marked are points, some of them marked.
type Marked struct {
	X, Y   []float64
	Mark   []bool
	fx, fy []float32
	work   []uint8
}

// AngleVotes counts, by the direction they are seen in from (x, y), the points whose
// squared distance is from least to most (to a float's precision): all of them and the
// marked, in as many bins of equal angle as all and marked are long, 254 at most, from
// minus half a turn on. It adds to both. One set of points, which stays as it is after
// the first call, serves one caller at a time.
func (m *Marked) AngleVotes(x, y, least, most float64, all, marked []int32) {
	n := len(m.X)
	if len(all) > C.rl_most_bins || len(marked) != len(all) {
		panic(fmt.Sprintf("vision: angle votes: %d and %d bins", len(all), len(marked)))
	}
	if n == 0 {
		return
	}
	if len(m.work) < n {
		m.work, m.fx, m.fy = make([]uint8, n), make([]float32, n), make([]float32, n)
		for i := range n {
			m.fx[i], m.fy[i] = float32(m.X[i]), float32(m.Y[i])
		}
	}
	C.rl_angle_votes(doublesOf(m.X), doublesOf(m.Y), floatsOf(m.fx), floatsOf(m.fy), boolsOf(m.Mark), C.int(n), C.double(x), C.double(y),
		C.double(least), C.double(most), C.int(len(all)), bytesAt(m.work, 0), countsOf(all), countsOf(marked))
}

func countsOf(p []int32) *C.int32_t { return (*C.int32_t)(unsafe.Pointer(&p[0])) }
