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

// dilated is the set grown by a disc of radius r cells: a cell of the set some rows away
// reaches as far along the row as the disc is wide there.
func (s *cellSet) dilated(r float64) *cellSet {
	out := newCellSet(s.w, s.h)
	if r < 0 {
		return out
	}
	reach := make([]int, int(r)+1) // by rows away
	for n := range reach {
		reach[n] = int(math.Sqrt(r*r - float64(n*n)))
	}
	down := s.rowsAway()
	step := make([]int32, s.w+1) // how many reaches begin or have ended at a cell
	for y := range s.h {
		clear(step)
		for x, n := range down[y*s.w : (y+1)*s.w] {
			if int(n) < len(reach) {
				step[max(x-reach[n], 0)]++
				step[min(x+reach[n]+1, s.w)]--
			}
		}
		held, row := int32(0), out.in[y*s.w:(y+1)*s.w]
		for x := range row {
			held += step[x]
			row[x] = held > 0
		}
	}
	return out
}

// eroded is the set shrunk by a disc of radius r cells; the plane's edge does
// not bite.
func (s *cellSet) eroded(r float64) *cellSet { return s.complement().dilated(r).complement() }

func (s *cellSet) complement() *cellSet {
	out := newCellSet(s.w, s.h)
	for i, in := range s.in {
		out.in[i] = !in
	}
	return out
}

// cellRun is a stretch of cells of a set along a row; all of one part have the same root.
type cellRun struct{ from, to, part int32 }

// labels numbers the connected parts of a set (4-neighbours) from 1, in the order of
// their first cells; 0 is outside. sizes[k] is part k's number of cells.
func (s *cellSet) labels() (label []int32, sizes []int) {
	runs := s.runs()
	label, sizes = make([]int32, len(s.in)), []int{0}
	id := make([]int32, len(runs))
	for i, r := range runs {
		root := rootOf(runs, int32(i))
		if id[root] == 0 {
			id[root] = int32(len(sizes))
			sizes = append(sizes, 0)
		}
		sizes[id[root]] += int(r.to - r.from)
		for k := r.from; k < r.to; k++ {
			label[k] = id[root]
		}
	}
	return label, sizes
}

// runs lists the set's runs in order and joins those that touch from row to row.
func (s *cellSet) runs() []cellRun {
	var runs []cellRun
	w := int32(s.w)
	before := 0 // where the runs of the row above begin
	for y := range int32(s.h) {
		first := len(runs)
		for x, row := int32(0), s.in[y*w:(y+1)*w]; x < w; x++ {
			if !row[x] {
				continue
			}
			from := x
			for x < w && row[x] {
				x++
			}
			runs = append(runs, cellRun{y*w + from, y*w + x, int32(len(runs))})
		}
		for i, k := before, first; i < first && k < len(runs); {
			above, here := runs[i], runs[k]
			if above.from+w < here.to && here.from < above.to+w {
				join(runs, int32(i), int32(k))
			}
			if above.to+w < here.to {
				i++
			} else {
				k++
			}
		}
		before = first
	}
	return runs
}

// join makes one part of two, by the root that comes first.
func join(runs []cellRun, i, k int32) {
	a, b := rootOf(runs, i), rootOf(runs, k)
	runs[max(a, b)].part = min(a, b)
}

func rootOf(runs []cellRun, i int32) int32 {
	for runs[i].part != i {
		runs[i].part = runs[runs[i].part].part
		i = runs[i].part
	}
	return i
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
