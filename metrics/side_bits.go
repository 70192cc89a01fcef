package metrics

import (
	"math"
	"math/bits"
)

// wordBits is the number of cells in a word.
const wordBits = 64

// cellBits is a set of cells of a plane, a bit a cell: cell x of a row is bit x % 64 of
// the row's word x / 64. Bits past a row's end are 0. Sets are grown and joined so, 64
// cells at once; what is asked cell by cell is a cellSet.
type cellBits struct {
	w, h, words int
	in          []uint64
}

func newCellBits(w, h int) *cellBits {
	words := (w + wordBits - 1) / wordBits
	return &cellBits{w, h, words, make([]uint64, words*h)}
}

// cellBox holds the cells from (x0, y0) up to, not including, (x1, y1).
type cellBox struct{ x0, y0, x1, y1 int }

func (b cellBox) empty() bool { return b.x0 >= b.x1 || b.y0 >= b.y1 }

// bits packs the cells within a box; those without are left out.
func (s *cellSet) bits(box cellBox) *cellBits {
	out := newCellBits(s.w, s.h)
	for y := box.y0; y < box.y1; y++ {
		row, to := s.in[y*s.w:(y+1)*s.w], out.row(y)
		for x := box.x0; x < box.x1; {
			end := min(x-x%wordBits+wordBits, box.x1)
			var word uint64
			for k, in := range row[x:end] {
				var bit uint64
				if in {
					bit = 1
				}
				word |= bit << (k & 63)
			}
			to[x/wordBits] |= word << (x % wordBits)
			x = end
		}
	}
	return out
}

// whole is the box of all cells.
func (s *cellSet) whole() cellBox { return cellBox{0, 0, s.w, s.h} }

// put writes the cells to a set whose cell (x0, y0) is this one's first, and clears all
// others of it.
func (b *cellBits) put(s *cellSet, x0, y0 int) {
	clear(s.in)
	for y := range b.h {
		to := s.in[(y0+y)*s.w+x0:][:b.w]
		for k, word := range b.row(y) {
			if word == 0 {
				continue
			}
			part := to[k*wordBits : min((k+1)*wordBits, b.w)]
			for i := range part {
				part[i] = word>>(i&63)&1 != 0
			}
		}
	}
}

func (b *cellBits) set() *cellSet {
	s := newCellSet(b.w, b.h)
	b.put(s, 0, 0)
	return s
}

func (b *cellBits) row(y int) []uint64 { return b.in[y*b.words : (y+1)*b.words] }

func (b *cellBits) count() int {
	n := 0
	for _, word := range b.in {
		n += bits.OnesCount64(word)
	}
	return n
}

// bounds is the least box that holds the set; empty for an empty set.
func (b *cellBits) bounds() cellBox {
	columns := make([]uint64, b.words)
	box := cellBox{y0: b.h}
	for y := range b.h {
		var here uint64
		for k, word := range b.row(y) {
			columns[k] |= word
			here |= word
		}
		if here != 0 {
			box.y0, box.y1 = min(box.y0, y), y+1
		}
	}
	for k, word := range columns {
		if word != 0 {
			if box.x1 == 0 {
				box.x0 = k*wordBits + bits.TrailingZeros64(word)
			}
			box.x1 = (k+1)*wordBits - bits.LeadingZeros64(word)
		}
	}
	return box
}

// cropped is what lies within a box and n cells about it, and the cell at which that
// begins, x0 on a word's first bit. What is left out of the plane about the set is empty,
// so that whatever is done within n cells of the set comes out the same.
func (b *cellBits) cropped(box cellBox, n int) (out *cellBits, x0, y0 int) {
	x0, y0 = max(0, box.x0-n)/wordBits*wordBits, max(0, box.y0-n)
	out = newCellBits(min(b.w, box.x1+n)-x0, min(b.h, box.y1+n)-y0)
	for y := range out.h {
		copy(out.row(y), b.row(y0 + y)[x0/wordBits:])
	}
	return out, x0, y0
}

// tail is the mask of a row's last word.
func (b *cellBits) tail() uint64 { return ^uint64(0) >> (b.words*wordBits - b.w) }

func (b *cellBits) complement() *cellBits {
	out := newCellBits(b.w, b.h)
	for i, word := range b.in {
		out.in[i] = ^word
	}
	for i := b.words - 1; i < len(out.in); i += b.words {
		out.in[i] &= b.tail()
	}
	return out
}

// widen grows the set by a cell along its rows.
func (b *cellBits) widen() {
	for y := range b.h {
		row, left := b.row(y), uint64(0)
		for k, word := range row {
			var right uint64
			if k+1 < len(row) {
				right = row[k+1] << (wordBits - 1)
			}
			row[k] = word | word<<1 | left | word>>1 | right
			left = word >> (wordBits - 1)
		}
		row[len(row)-1] &= b.tail()
	}
}

// dilated is the set grown by a disc of radius r cells: a cell of the set some rows away
// reaches as far along the row as the disc is wide there.
func (b *cellBits) dilated(r float64) *cellBits {
	out := newCellBits(b.w, b.h)
	if r < 0 {
		return out
	}
	wide, by := &cellBits{b.w, b.h, b.words, append([]uint64(nil), b.in...)}, 0
	for n := int(r); n >= 0; n-- {
		for reach := int(math.Sqrt(r*r - float64(n*n))); by < reach; by++ {
			wide.widen()
		}
		if away := n * b.words; away < len(b.in) {
			unite(out.in[away:], wide.in)
			unite(out.in, wide.in[away:])
		}
	}
	return out
}

// unite adds a set's words to as many of another's.
func unite(to, more []uint64) {
	n := min(len(to), len(more))
	to, more = to[:n], more[:n]
	for i, word := range more {
		to[i] |= word
	}
}

// eroded is the set shrunk by a disc of radius r cells; the plane's edge does not bite.
func (b *cellBits) eroded(r float64) *cellBits { return b.complement().dilated(r).complement() }

// mask calls to with each word of row y that holds cells from up to, not including, end.
func (b *cellBits) mask(y, from, end int, to func(word *uint64, cells uint64)) {
	row := b.row(y)
	for k := from / wordBits; k*wordBits < end; k++ {
		cells := ^uint64(0)
		if lo := from - k*wordBits; lo > 0 {
			cells <<= lo
		}
		if over := (k+1)*wordBits - end; over > 0 {
			cells &= ^uint64(0) >> over
		}
		to(&row[k], cells)
	}
}

func (b *cellBits) add(y, from, end int) {
	b.mask(y, from, end, func(word *uint64, cells uint64) { *word |= cells })
}

func (b *cellBits) remove(y, from, end int) {
	b.mask(y, from, end, func(word *uint64, cells uint64) { *word &^= cells })
}

func (b *cellBits) countOf(y, from, end int) (n int) {
	b.mask(y, from, end, func(word *uint64, cells uint64) { n += bits.OnesCount64(*word & cells) })
	return n
}

// filled is the set with its holes: what cannot be reached from the plane's edge without
// crossing it.
func (b *cellBits) filled() *cellBits {
	runs, sizes := b.complement().parts()
	open := make([]bool, len(sizes))
	for _, r := range runs {
		if r.y == 0 || int(r.y) == b.h-1 || r.from == 0 || int(r.to) == b.w {
			open[r.part] = true
		}
	}
	out := &cellBits{b.w, b.h, b.words, append([]uint64(nil), b.in...)}
	for _, r := range runs {
		if !open[r.part] {
			out.add(int(r.y), int(r.from), int(r.to))
		}
	}
	return out
}
