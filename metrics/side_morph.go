package metrics

import "math"

// distance2 returns for each cell the squared distance (cells) to the nearest
// cell that is in the set; far beyond where there is none. Exact, by lower
// envelopes of parabolas (Felzenszwalb and Huttenlocher 2012, Theory of
// Computing 8:415-428; quoted from memory).
func distance2(s *cellSet) []float64 {
	down := s.rowsAway()
	d := make([]float64, s.w*s.h)
	e := &envelope{v: make([]int, s.w), z: make([]float64, s.w+1), f: make([]float64, s.w), out: make([]float64, s.w)}
	far := float64(4 * (s.w + s.h) * (s.w + s.h))
	for y := range s.h {
		row := down[y*s.w : (y+1)*s.w]
		// Cells of the set shield one another: only the stretch that holds all others,
		// and the cell at each of its ends, counts.
		lo, hi := 0, s.w-1
		for lo < s.w && row[lo] == 0 {
			lo++
		}
		for hi > lo && row[hi] == 0 {
			hi--
		}
		if lo, hi = max(lo-1, 0), min(hi+1, s.w-1); lo > hi {
			continue
		}
		for x, n := range row[lo : hi+1] {
			e.f[x] = far
			if int(n) < s.h {
				e.f[x] = float64(n) * float64(n)
			}
		}
		e.run(hi + 1 - lo)
		copy(d[y*s.w+lo:y*s.w+hi+1], e.out[:hi+1-lo])
	}
	return d
}

// rowsAway is for each cell how many rows the nearest cell of the set lies over or under
// it; far more than there are where there is none in its column.
func (s *cellSet) rowsAway() []int32 {
	n := make([]int32, s.w*s.h)
	for x := range s.w {
		n[x] = math.MaxInt32 / 2
	}
	for y := range s.h {
		row, over := n[y*s.w:(y+1)*s.w], n[max(y-1, 0)*s.w:]
		for x, in := range s.in[y*s.w : (y+1)*s.w] {
			if row[x] = over[x] + 1; in {
				row[x] = 0
			}
		}
	}
	for y := s.h - 2; y >= 0; y-- {
		row, under := n[y*s.w:(y+1)*s.w], n[(y+1)*s.w:(y+2)*s.w]
		for x, u := range under {
			row[x] = min(row[x], u+1)
		}
	}
	return n
}

// envelope is the one-dimensional transform's working store.
type envelope struct {
	v         []int
	z, f, out []float64
}

func (e *envelope) run(n int) {
	k := 0
	e.v[0], e.z[0], e.z[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q < n; q++ {
		s := e.cross(q, e.v[k])
		for s <= e.z[k] {
			k--
			s = e.cross(q, e.v[k])
		}
		k++
		e.v[k], e.z[k], e.z[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := range n {
		for e.z[k+1] < float64(q) {
			k++
		}
		d := float64(q - e.v[k])
		e.out[q] = d*d + e.f[e.v[k]]
	}
}

func (e *envelope) cross(q, p int) float64 {
	return (e.f[q] + float64(q*q) - e.f[p] - float64(p*p)) / float64(2*(q-p))
}

// dilated, eroded and filled are as of cellBits.
func (s *cellSet) dilated(r float64) *cellSet { return s.bits(s.whole()).dilated(r).set() }

func (s *cellSet) eroded(r float64) *cellSet { return s.bits(s.whole()).eroded(r).set() }

func (s *cellSet) filled() *cellSet { return s.bits(s.whole()).filled().set() }
