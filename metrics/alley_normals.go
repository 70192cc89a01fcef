package metrics

import "math"

// sightUnknowns of all come first and may move a sight: the crown, the heading and the
// line of the row it looks at.
const sightUnknowns = uLeft + 1

// normals sums the Fisher information (upper half) and the gradient of the cost of chances
// that something is in the way, which the first count unknowns move.
type normals struct {
	count int
	info  [alleyUnknowns][alleyUnknowns]float64
	grad  slopes
	// Slopes wait until there are summedAtOnce of them: each sum is then fetched and
	// stored once for all.
	waits   int
	waiting [alleyUnknowns][summedAtOnce]float64
	w, off  [summedAtOnce]float64
}

const summedAtOnce = 4

// weighChance is what a chance p weighs in the information, and in the gradient.
func weighChance(p float64, blocked bool) (w, off float64) {
	w = 1 / (p * (1 - p))
	if blocked {
		return w, w * (p - 1)
	}
	return w, w * p
}

// add counts a sight or look.
func (n *normals) add(d *slopes, p float64, blocked bool) {
	at := n.waits & (summedAtOnce - 1)
	n.w[at], n.off[at] = weighChance(p, blocked)
	waiting := n.waiting[:n.count]
	for j := range waiting {
		waiting[j][at] = d[j]
	}
	if n.waits = at + 1; n.waits == summedAtOnce {
		n.sum()
	}
}

// sum adds up what waits.
func (n *normals) sum() {
	for at := n.waits; at < summedAtOnce; at++ {
		n.w[at], n.off[at] = 0, 0 // of an earlier round
	}
	n.waits = 0
	for j := range n.count {
		v := &n.waiting[j]
		n.grad[j] += n.off[0]*v[0] + n.off[1]*v[1] + n.off[2]*v[2] + n.off[3]*v[3]
		v0, v1, v2, v3 := n.w[0]*v[0], n.w[1]*v[1], n.w[2]*v[2], n.w[3]*v[3]
		row := n.info[j][j:n.count]
		waiting := n.waiting[j:][:len(row)]
		for k := range row {
			o := &waiting[k]
			row[k] += v0*o[0] + v1*o[1] + (v2*o[2] + v3*o[3])
		}
	}
}

// put adds the sums to a point's, uLeft standing for line, and so many votes for each that
// was counted.
func (n *normals) put(o *fitPoint, line int, votes float64) {
	n.sum()
	place := func(j int) int {
		if j == uLeft {
			return line
		}
		return j
	}
	for j := range n.count {
		at := place(j)
		o.grad.SetVec(at, o.grad.AtVec(at)+n.grad[j]*votes)
		for k := j; k < n.count; k++ {
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
