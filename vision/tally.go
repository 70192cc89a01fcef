package vision

// #include "tally.h"
import "C"

import "unsafe"

// TallyBins are the bins of a Tally.
const TallyBins = C.RL_TALLY_MOST

// Tally counts values in bins of equal width; those beyond its ends count in the end
// bins. A rank read from it is right to a bin's width, or to what the values lie beyond.
type Tally struct {
	low, width float64
	counts     [TallyBins]uint32
}

// NewTally counts from low to high.
func NewTally(low, high float64) *Tally {
	return &Tally{low: low, width: (high - low) / TallyBins}
}

// Add counts the marked values.
func (t *Tally) Add(v []float32, in []bool) { t.add(v, in, nil, 0, 0) }

// AddBetween counts the marked values whose by lies between over and under, neither of
// them counted.
func (t *Tally) AddBetween(v []float32, in []bool, by []float32, over, under float32) {
	if len(v) > 0 {
		t.add(v, in, floatsOf(by), over, under)
	}
}

func (t *Tally) add(v []float32, in []bool, by *C.float, over, under float32) {
	if len(v) > 0 {
		C.rl_tally(floatsOf(v), boolsOf(in), by, C.float(over), C.float(under), C.int(len(v)), C.float(t.low), C.float(1/t.width), TallyBins, (*C.uint32_t)(unsafe.Pointer(&t.counts[0])))
	}
}

// Count is how many values were counted.
func (t *Tally) Count() int {
	n := 0
	for _, c := range t.counts {
		n += int(c)
	}
	return n
}

// Rank is the value that sorting would put at a rank from 0, those of one bin taken to
// lie evenly in it; low without values.
func (t *Tally) Rank(rank int) float64 {
	before := 0
	for b, c := range t.counts {
		if n := int(c); rank < before+n {
			return t.low + t.width*(float64(b)+(float64(rank-before)+0.5)/float64(n))
		}
		before += int(c)
	}
	return t.low
}

// Each hands over the middle and the count of every bin that holds a value.
func (t *Tally) Each(do func(at float64, n uint32)) {
	for b, c := range t.counts {
		if c > 0 {
			do(t.low+t.width*(float64(b)+0.5), c)
		}
	}
}

// Range is what lies between two numbers, neither of them in it.
type Range struct{ Over, Under float32 }

// Mark marks in out those of the marked values that lie in within and whose by lies in
// byWithin, and returns how many. out may be in.
func Mark(v []float32, within Range, by []float32, byWithin Range, in, out []bool) int {
	if len(v) == 0 {
		return 0
	}
	return int(C.rl_mark(floatsOf(v), C.float(within.Over), C.float(within.Under), floatsOf(by), C.float(byWithin.Over), C.float(byWithin.Under),
		boolsOf(in), C.int(len(v)), boolsOf(out)))
}

// LookUp writes, for each value, the table's number at its step from low: the first for
// what lies at low or under, the second for what lies within the first step, and so on,
// the last for all that lies beyond.
func LookUp(v []float32, low, step float64, table, out []float32) {
	if len(v) > 0 {
		C.rl_look_up(floatsOf(v), C.int(len(v)), C.float(low), C.float(1/step), floatsOf(table), C.int(len(table)), floatsOf(out))
	}
}
