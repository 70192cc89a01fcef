package vision

// #include "angles.h"
import "C"

import (
	"fmt"
	"unsafe"
)

// Marked are points, some of them marked.
type Marked struct {
	x, y   []float64 // the marked ones first
	fx, fy []float32
	marks  int
	work   []uint8
}

// NewMarked lays points out; mark tells for each whether it is marked.
func NewMarked(x, y []float64, mark []bool) *Marked {
	m := &Marked{x: make([]float64, 0, len(x)), y: make([]float64, 0, len(x)), work: make([]uint8, len(x))}
	for _, marked := range [2]bool{true, false} {
		for i := range x {
			if mark[i] == marked {
				m.x, m.y = append(m.x, x[i]), append(m.y, y[i])
			}
		}
		if marked {
			m.marks = len(m.x)
		}
	}
	m.round()
	return m
}

// round makes the floats.
func (m *Marked) round() {
	m.fx, m.fy = make([]float32, len(m.x)), make([]float32, len(m.x))
	for i := range m.x {
		m.fx[i], m.fy[i] = float32(m.x[i]), float32(m.y[i])
	}
}

// Len is how many points there are.
func (m *Marked) Len() int { return len(m.x) }

// Within are the points no farther than reach from (x, y).
func (m *Marked) Within(x, y, reach float64) *Marked {
	out := &Marked{x: make([]float64, 0, len(m.x)), y: make([]float64, 0, len(m.x)), work: m.work}
	for i := range m.x {
		if dx, dy := m.x[i]-x, m.y[i]-y; dx*dx+dy*dy <= reach*reach {
			out.x, out.y = append(out.x, m.x[i]), append(out.y, m.y[i])
			if i < m.marks {
				out.marks++
			}
		}
	}
	out.round()
	return out
}

// AngleVotes counts, by the direction they are seen in from (x, y), the points whose
// squared distance is from least to most (to a float's precision): all of them and the
// marked, in as many bins of equal angle as all and marked are long, 254 at most, from
// minus half a turn on. It adds to both. One set of points, with all that are Within it,
// serves one caller at a time.
func (m *Marked) AngleVotes(x, y, least, most float64, all, marked []int32) {
	if len(all) > C.rl_most_bins || len(marked) != len(all) {
		panic(fmt.Sprintf("vision: angle votes: %d and %d bins", len(all), len(marked)))
	}
	if len(m.x) > 0 && len(all) > 0 {
		C.rl_angle_votes(doublesOf(m.x), doublesOf(m.y), floatsOf(m.fx), floatsOf(m.fy), C.int(len(m.x)), C.int(m.marks), C.double(x), C.double(y),
			C.double(least), C.double(most), C.int(len(all)), bytesAt(m.work, 0), countsOf(all), countsOf(marked))
	}
}

func countsOf(p []int32) *C.int32_t { return (*C.int32_t)(unsafe.Pointer(&p[0])) }
