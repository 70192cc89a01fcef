package metrics

import "math"

// odds is minus the log of the chances of all that was seen.
type odds struct {
	sum, chance float64
	count       int
}

// tallied chances are multiplied before their logarithm is taken: none is under 0.01, so
// that so many stay far above a double's end.
const tallied = 64

func (t *odds) see(p float64, blocked bool) {
	if !blocked {
		p = 1 - p
	}
	if t.count == 0 {
		t.chance = 1
	}
	t.chance *= p
	if t.count++; t.count == tallied {
		t.sum, t.count = t.sum-math.Log(t.chance), 0
	}
}

func (t *odds) cost() float64 {
	if t.count == 0 {
		return t.sum
	}
	return t.sum - math.Log(t.chance)
}
