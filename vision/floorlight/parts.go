package floorlight

import (
	"bytes"
	"unsafe"
)

// run is a stretch of a row's pixels, from x0 to before x1, of a part.
type run struct{ y, x0, x1, part int }

// grownParts takes the 4-connected parts of a mask w wide with at least so many pixels,
// and marks them in out, swelled by r pixels along both axes; false without any.
func grownParts(in []bool, w, least, r int, out []bool) bool {
	clear(out)
	runs, sizes := partsOf(in, w)
	found := false
	for _, u := range runs {
		if sizes[u.part] < least {
			continue
		}
		found = true
		x0, x1 := max(u.x0-r, 0), min(u.x1+r, w)
		for y := max(u.y-r, 0); y <= u.y+r && y*w < len(in); y++ {
			row := out[y*w+x0 : y*w+x1]
			for i := range row {
				row[i] = true
			}
		}
	}
	return found
}

// partsOf splits a mask into runs, each with its part, and gives the parts' sizes.
func partsOf(in []bool, w int) (runs []run, sizes []int) {
	var parent []int
	root := func(p int) int {
		for parent[p] != p {
			parent[p] = parent[parent[p]]
			p = parent[p]
		}
		return p
	}
	above := 0 // the first run of the row above that may touch
	for y := range len(in) / w {
		first := len(runs)
		at := above
		above = first
		eachRun(in[y*w:(y+1)*w], func(x0, x1 int) {
			u := run{y: y, x0: x0, x1: x1, part: len(parent)}
			parent, sizes = append(parent, u.part), append(sizes, x1-x0)
			for at < first && runs[at].x1 <= x0 {
				at++
			}
			for k := at; k < first && runs[k].x0 < x1; k++ {
				if runs[k].y == y-1 {
					a, b := root(runs[k].part), root(u.part)
					parent[max(a, b)] = min(a, b)
				}
			}
			runs = append(runs, u)
		})
	}
	for p := len(parent) - 1; p >= 0; p-- { // a part's first run comes before all others
		if q := root(p); q != p {
			sizes[q] += sizes[p]
		}
	}
	for i := range runs {
		runs[i].part = root(runs[i].part)
	}
	return runs, sizes
}

// eachRun hands over the marked stretches of a row.
func eachRun(row []bool, do func(x0, x1 int)) {
	if len(row) == 0 {
		return
	}
	marks := unsafe.Slice((*byte)(unsafe.Pointer(&row[0])), len(row)) // a bool is a byte of 0 or 1
	for x := 0; x < len(marks); {
		k := bytes.IndexByte(marks[x:], 1)
		if k < 0 {
			return
		}
		x0 := x + k
		x = len(marks)
		if k = bytes.IndexByte(marks[x0:], 0); k >= 0 {
			x = x0 + k
		}
		do(x0, x)
	}
}
