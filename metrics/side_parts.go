package metrics

import "math/bits"

// cellRun is a stretch of cells of a set along row y, to not included.
type cellRun struct{ y, from, to, part int32 }

// parts lists a set's runs in order and numbers the connected parts (4-neighbours) that
// they belong to from 1, in the order of their first cells; sizes[k] is part k's number
// of cells.
func (b *cellBits) parts() (runs []cellRun, sizes []int) {
	runs = b.runs()
	sizes = []int{0}
	// A root comes before all that hang on it: what stands before the present run is
	// numbered already.
	for i := range runs {
		r := &runs[i]
		if r.part == int32(i) {
			r.part = int32(len(sizes))
			sizes = append(sizes, 0)
		} else {
			r.part = runs[r.part].part
		}
		sizes[r.part] += int(r.to - r.from)
	}
	return runs, sizes
}

// runs lists the set's runs in order, part the place of the first run that each hangs
// together with.
func (b *cellBits) runs() []cellRun {
	runs := make([]cellRun, 0, b.countRuns())
	before := 0 // where the runs of the row above begin
	for y := range b.h {
		first := len(runs)
		runs = b.runsOf(y, runs)
		for i, k := before, first; i < first && k < len(runs); {
			above, here := &runs[i], &runs[k]
			if above.from < here.to && here.from < above.to {
				join(runs, int32(i), int32(k))
			}
			if above.to < here.to {
				i++
			} else {
				k++
			}
		}
		before = first
	}
	for i := range runs {
		runs[i].part = rootOf(runs, int32(i))
	}
	return runs
}

// countRuns is the number of cells whose left neighbour is not in the set.
func (b *cellBits) countRuns() int {
	n := 0
	for y := range b.h {
		last := uint64(0)
		for _, word := range b.row(y) {
			n += bits.OnesCount64(word &^ (word<<1 | last))
			last = word >> (wordBits - 1)
		}
	}
	return n
}

// runsOf adds a row's runs, each a part of its own.
func (b *cellBits) runsOf(y int, runs []cellRun) []cellRun {
	from := -1 // of the run that is under way
	end := func(x int) {
		runs = append(runs, cellRun{int32(y), int32(from), int32(x), int32(len(runs))})
		from = -1
	}
	for k, word := range b.row(y) {
		for at := 0; at < wordBits; {
			rest := word >> at
			if from >= 0 {
				rest = ^rest // bits that were shifted in are no ends
			}
			step := bits.TrailingZeros64(rest)
			if at += step; at >= wordBits {
				break
			}
			if from < 0 {
				from = k*wordBits + at
			} else {
				end(k*wordBits + at)
			}
		}
	}
	if from >= 0 {
		end(b.w)
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
