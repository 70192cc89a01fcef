package metrics

// boxCounts counts the marked cells in a square about each cell of a plane, row by row;
// what lies outside the plane is neither marked nor counted. Two sums slide: one down
// each column, one along the row.
type boxCounts struct {
	h, half  int
	x0, x1   int // columns whose squares are asked for
	from, to int // columns that these reach over
	mark     func(y int, row []uint8)
	y        int     // the row that comes next
	column   []int32 // marked cells of each column in the rows now reached over
	ring     []uint8 // those rows
	fresh    []uint8
	total    int32
	of       func(marked, cells int) float32
	whole    []float32 // of each count in a square that lies in the plane whole
}

// newBoxCounts begins at the box's first row. mark fills a row's marks, 1 or 0, over all
// columns from fromColumn on; of makes a value of a count.
func newBoxCounts(box cellBox, w, h, half int, mark func(y, from int, row []uint8), of func(marked, cells int) float32) *boxCounts {
	b := &boxCounts{
		h: h, half: half, x0: box.x0, x1: box.x1, from: max(0, box.x0-half), to: min(w, box.x1+half), y: box.y0, of: of,
	}
	b.mark = func(y int, row []uint8) { mark(y, b.from, row) }
	n, side := b.to-b.from, 2*half+1
	b.column, b.ring, b.fresh = make([]int32, n), make([]uint8, n*side), make([]uint8, n)
	b.whole = make([]float32, side*side+1)
	for k := range b.whole {
		b.whole[k] = of(k, side*side)
	}
	for y := box.y0 - half; y < box.y0+half; y++ {
		b.reach(y)
	}
	return b
}

// reach takes a row in, and the row out that is a square's side above it.
func (b *boxCounts) reach(y int) {
	n, side := len(b.column), 2*b.half+1
	if y < 0 || y >= b.h {
		clear(b.fresh)
	} else {
		b.mark(y, b.fresh)
	}
	slot := (y + side) % side * n
	old := b.ring[slot : slot+n]
	for i, mark := range b.fresh {
		d := int32(mark) - int32(old[i])
		b.column[i] += d
		b.total += d
	}
	copy(old, b.fresh)
}

// next goes on to the next row; false where no square about its cells holds any mark.
func (b *boxCounts) next() bool {
	b.reach(b.y + b.half)
	b.y++
	return b.total > 0
}

// values fills out for the columns that were asked for, of the row that was gone on to.
func (b *boxCounts) values(out []float32) {
	y, side := b.y-1, 2*b.half+1
	rows := min(b.h, y+b.half+1) - max(0, y-b.half)
	// The columns whose squares lie in the plane whole, as far as rows go.
	lo, hi := max(b.x0, b.from+b.half), min(b.x1, b.to-b.half)
	if rows < side || lo >= hi {
		lo, hi = b.x1, b.x1
	}
	for x := b.x0; x < b.x1; x++ {
		if x == lo {
			b.within(out[lo-b.x0:hi-b.x0], b.column[lo-b.half-b.from:])
			if x = hi; x == b.x1 {
				break
			}
		}
		sum, first, end := int32(0), max(b.from, x-b.half), min(b.to, x+b.half+1)
		for _, n := range b.column[first-b.from : end-b.from] {
			sum += n
		}
		out[x-b.x0] = b.of(int(sum), rows*(end-first))
	}
}

// within fills out where all squares have their full size; column begins at the first
// one's left edge.
func (b *boxCounts) within(out []float32, column []int32) {
	side, sum := 2*b.half+1, int32(0)
	for _, n := range column[:side-1] {
		sum += n
	}
	leads := column[side-1:][:len(out)]
	column = column[:len(out)]
	for i, lead := range leads {
		sum += lead
		out[i] = b.whole[sum]
		sum -= column[i]
	}
}
