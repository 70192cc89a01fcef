package metrics

import "math"

// distance2 returns for each cell the squared distance (cells) to the nearest
// cell that is in the set; far beyond where there is none. Exact, by lower
// envelopes of parabolas (Felzenszwalb and Huttenlocher 2012, Theory of
// Computing 8:415-428; quoted from memory).
func distance2(s *cellSet) []float64 {
	far := float64(4 * (s.w + s.h) * (s.w + s.h))
	d := make([]float64, s.w*s.h)
	for i, in := range s.in {
		if !in {
			d[i] = far
		}
	}
	n := max(s.w, s.h)
	e := &envelope{v: make([]int, n), z: make([]float64, n+1), f: make([]float64, n), out: make([]float64, n)}
	for x := range s.w {
		for y := range s.h {
			e.f[y] = d[y*s.w+x]
		}
		e.run(s.h)
		for y := range s.h {
			d[y*s.w+x] = e.out[y]
		}
	}
	for y := range s.h {
		copy(e.f, d[y*s.w:(y+1)*s.w])
		e.run(s.w)
		copy(d[y*s.w:(y+1)*s.w], e.out[:s.w])
	}
	return d
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

// dilated is the set grown by a disc of radius r cells.
func (s *cellSet) dilated(r float64) *cellSet {
	d := distance2(s)
	out := newCellSet(s.w, s.h)
	for i := range d {
		out.in[i] = d[i] <= r*r
	}
	return out
}

// eroded is the set shrunk by a disc of radius r cells; the plane's edge does
// not bite.
func (s *cellSet) eroded(r float64) *cellSet {
	d := distance2(s.complement())
	out := newCellSet(s.w, s.h)
	for i := range d {
		out.in[i] = d[i] > r*r
	}
	return out
}

func (s *cellSet) complement() *cellSet {
	out := newCellSet(s.w, s.h)
	for i, in := range s.in {
		out.in[i] = !in
	}
	return out
}

// labels numbers the connected parts of a set (4-neighbours) from 1; 0 is
// outside. sizes[k] is part k's number of cells.
func (s *cellSet) labels() (label []int32, sizes []int) {
	label = make([]int32, len(s.in))
	sizes = []int{0}
	var stack []int
	for at := range s.in {
		if !s.in[at] || label[at] != 0 {
			continue
		}
		id := int32(len(sizes))
		sizes = append(sizes, 0)
		stack = append(stack[:0], at)
		label[at] = id
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			sizes[id]++
			stack = s.pushNeighbours(stack, label, i, id)
		}
	}
	return label, sizes
}

func (s *cellSet) pushNeighbours(stack []int, label []int32, i int, id int32) []int {
	x, y := i%s.w, i/s.w
	try := func(ok bool, j int) {
		if ok && s.in[j] && label[j] == 0 {
			label[j] = id
			stack = append(stack, j)
		}
	}
	try(x > 0, i-1)
	try(x+1 < s.w, i+1)
	try(y > 0, i-s.w)
	try(y+1 < s.h, i+s.w)
	return stack
}

// filled is the set with its holes: what cannot be reached from the plane's
// edge without crossing it.
func (s *cellSet) filled() *cellSet {
	out := s.complement()
	label, sizes := out.labels()
	open := make([]bool, len(sizes))
	for x := range s.w {
		open[label[x]], open[label[(s.h-1)*s.w+x]] = true, true
	}
	for y := range s.h {
		open[label[y*s.w]], open[label[y*s.w+s.w-1]] = true, true
	}
	for i, l := range label {
		out.in[i] = l == 0 || !open[l]
	}
	return out
}
