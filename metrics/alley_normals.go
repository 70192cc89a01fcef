package metrics

import "math"

// sightUnknowns of all come first and may move a sight: the crown, the heading and the
// line of the row it looks at.
const sightUnknowns = uLeft + 1

// normals sums the Fisher information (upper half) and the gradient of the cost of chances
// that something is in the way.
type normals struct {
	info [alleyUnknowns][alleyUnknowns]float64
	grad slopes
}

// weighChance is what a chance p weighs in the information, and in the gradient.
func weighChance(p float64, blocked bool) (w, off float64) {
	w = 1 / (p * (1 - p))
	if blocked {
		return w, w * (p - 1)
	}
	return w, w * p
}

// add counts a sight.
func (n *normals) add(d *[sightUnknowns]float64, p float64, blocked bool) {
	w, off := weighChance(p, blocked)
	for j, v := range d {
		n.grad[j] += off * v
		v *= w
		row := &n.info[j]
		for k := j; k < sightUnknowns; k++ {
			row[k] += v * d[k]
		}
	}
}

// addAll counts a look, which all unknowns may move.
func (n *normals) addAll(d *slopes, p float64, blocked bool) {
	w, off := weighChance(p, blocked)
	for j, v := range d {
		n.grad[j] += off * v
		v *= w
		row := &n.info[j]
		for k := j; k < alleyUnknowns; k++ {
			row[k] += v * d[k]
		}
	}
}

// put adds the first count unknowns' sums to a point's, uLeft standing for line, and so many
// votes for each that was counted.
func (n *normals) put(o *fitPoint, count, line int, votes float64) {
	place := func(j int) int {
		if j == uLeft {
			return line
		}
		return j
	}
	for j := range count {
		at := place(j)
		o.grad.SetVec(at, o.grad.AtVec(at)+n.grad[j]*votes)
		for k := j; k < count; k++ {
			o.info.SetSym(at, place(k), o.info.At(at, place(k))+n.info[j][k]*votes)
		}
	}
}

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
