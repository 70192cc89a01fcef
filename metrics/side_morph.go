package metrics

import "math"

// away lists the cells that are not in the set, in order, each with its squared distance
// to the nearest cell that is; far beyond where there is none. Exact, by lower
// envelopes of parabolas (Felzenszwalb and Huttenlocher 2012, Theory of
// Computing 8:415-428; quoted from memory).
func (s *cellSet) away() []openCell {
	rows, e := s.rowsAway(), newEnvelope(s.w, s.h)
	count := 0
	for _, in := range s.in {
		if !in {
			count++
		}
	}
	out := make([]openCell, 0, count)
	for y := range s.h {
		row := rows[y*s.w : (y+1)*s.w]
		for x := 0; x < s.w; x++ {
			if row[x] == 0 {
				continue
			}
			from := x
			for x < s.w && row[x] != 0 {
				x++
			}
			for k, d := range e.between(row, from, x) {
				out = append(out, openCell{int32(from + k), int32(y), d})
			}
		}
	}
	return out
}

// rowsAway is for each cell how many rows the nearest cell of the set lies over or under
// it; far more than there are where there is none in its column.
func (s *cellSet) rowsAway() []int32 {
	n := make([]int32, s.w*s.h)
	under := make([]int32, s.w)
	for x := range under {
		under[x] = math.MaxInt32 / 2
	}
	for y := range s.h {
		row := n[y*s.w : (y+1)*s.w]
		in := s.in[y*s.w:][:len(row)]
		under = under[:len(row)]
		for x := range row {
			if !in[x] {
				row[x] = under[x] + 1
			}
		}
		under = row
	}
	for y := s.h - 2; y >= 0; y-- {
		row, over := n[y*s.w:(y+1)*s.w], n[(y+1)*s.w:(y+2)*s.w]
		for x, o := range over {
			row[x] = min(row[x], o+1)
		}
	}
	return n
}

// envelope is the one-dimensional transform's working store.
type envelope struct {
	v         []int
	z, f, out []float64
	h         int
	far       float64
	away      []int32
}

func newEnvelope(w, h int) *envelope {
	return &envelope{
		v: make([]int, w), z: make([]float64, w+1), f: make([]float64, w), out: make([]float64, w),
		h: h, far: float64(4 * (w + h) * (w + h)), away: make([]int32, w),
	}
}

// between are the squared distances of a row's cells, from up to, not including, to, by how
// many rows off each the nearest cell of the set lies, which at both ends is in this row:
// cells of the set shield one another. They are good until the next call.
func (e *envelope) between(row []int32, from, to int) []int32 {
	out := e.away[:to-from]
	lo, hi := max(from-1, 0), min(to+1, len(row))
	if to-from <= 2 && hi-lo == to-from+2 { // all beside the set
		for k := range out {
			out[k] = 1
		}
		return out
	}
	for k, n := range row[lo:hi] {
		e.f[k] = e.far
		if int(n) < e.h {
			e.f[k] = float64(n) * float64(n)
		}
	}
	e.run(hi - lo)
	for k := range out {
		out[k] = int32(e.out[from-lo+k])
	}
	return out
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
