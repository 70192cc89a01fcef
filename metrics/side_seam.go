package metrics

import "math"

const (
	// seamBlurM: foliage is averaged over this before a seam is laid through it,
	// so that it runs through gaps and not between two leaves.
	seamBlurM = 0.10
	// Where trunks are known a seam may stray between these shares of the way to
	// the neighbour; half-way costs nothing.
	seamNear, seamFar = 0.22, 0.78
	seamPull          = 0.6 // cost at the ends of that, against 1 for solid leaf
	// Where no neighbour is known: reach in metres and the cost of each metre.
	seamLeastM, seamReachM, seamPerM = 0.3, 3.5, 0.03
	seamTurn                         = 0.15 // cost of a step sideways
)

// seamThrough: a seam that runs through so much leaf, in the mean over the crown's
// rows, where another way round runs through less than half, parts no two trees:
// what was taken for a neighbour's trunk is a shadow on the ground or a limb. Of
// rightly known neighbours of practice and wide set (seed 101) no seam ran through
// more than 0.28; of wrong ones through 0.38 to 0.75.
const seamThrough = 0.30

// soundSeam is the seam to a neighbour, or where that proves wrong and the neighbour
// was not seen evenly on both sides, the way round the crown.
func soundSeam(p *SidePlane, occupied *occupancy, line trunkLine, side, neighbourM float64) []int {
	s := seam(p, occupied, line.xM, side, neighbourM)
	if neighbourM == 0 || line.both || p.TreeSpacingM > 0 {
		return s
	}
	through := leafOn(p, occupied, s)
	if through <= seamThrough {
		return s
	}
	if free := seam(p, occupied, line.xM, side, 0); leafOn(p, occupied, free) < through/2 {
		return free
	}
	return s
}

// leafOn is the mean share of leaf that a seam runs through, over the rows that show
// any leaf.
func leafOn(p *SidePlane, occupied *occupancy, s []int) float64 {
	var sum, n float64
	for j, i := range s {
		if occupied.some[j] {
			sum, n = sum+float64(occupied.share[j*p.W+i]), n+1
		}
	}
	return sum / math.Max(1, n)
}

// seam returns for each row the column that divides the tree from its neighbour
// on one side (-1 left, +1 right): the way down through the least foliage, by
// dynamic programming. neighbourM is the distance to the neighbour's trunk, 0
// where it is not known.
func seam(p *SidePlane, occupied *occupancy, trunkM, side, neighbourM float64) []int {
	near, far := seamLeastM, seamReachM
	if neighbourM > 0 {
		near, far = seamNear*neighbourM, seamFar*neighbourM
	}
	a, b := p.Column(trunkM+side*near), p.Column(trunkM+side*far)
	lo, hi := min(a, b), max(a, b)
	n := hi - lo + 1
	pull := make([]float64, n)
	for k := range pull {
		d := math.Abs(p.XM(lo+k) - trunkM)
		if neighbourM > 0 {
			t := (d/neighbourM - 0.5) / (seamFar - 0.5)
			pull[k] = seamPull * t * t
		} else {
			pull[k] = seamPerM * d
		}
	}
	return cheapest(p, occupied, lo, n, pull)
}

// cheapest runs from the top row to the ground.
func cheapest(p *SidePlane, occupied *occupancy, lo, n int, pull []float64) []int {
	from := make([]int8, p.H*n)
	cur, next := make([]float64, n), make([]float64, n)
	for j := p.H - 1; j >= 0; j-- {
		share, steps := occupied.share[j*p.W+lo:][:n], from[j*n:][:n]
		left := math.Inf(1) // beyond either end is no way
		for k, here := range cur {
			right := math.Inf(1)
			if k+1 < n {
				right = cur[k+1]
			}
			best, step := here, int8(0)
			if left+seamTurn < best {
				best, step = left+seamTurn, -1
			}
			if right+seamTurn < best {
				best, step = right+seamTurn, 1
			}
			next[k], steps[k] = best+float64(share[k])+pull[k], step
			left = here
		}
		cur, next = next, cur
	}
	k := 0
	for i := range cur {
		if cur[i] < cur[k] {
			k = i
		}
	}
	out := make([]int, p.H)
	for j := range p.H {
		out[j] = lo + k
		k += int(from[j*n+k])
	}
	return out
}

// occupancy is how much of a plane is foliage and wood: the share in a box of seamBlurM
// about each cell, and which rows have any.
type occupancy struct {
	share []float32
	some  []bool
}

func newOccupancy(p *SidePlane) *occupancy {
	o := &occupancy{make([]float32, len(p.Kind)), make([]bool, p.H)}
	mark := func(j, from int, row []uint8) {
		for i, k := range p.Kind[j*p.W+from:][:len(row)] {
			row[i] = 0
			if solid(k) {
				row[i] = 1
			}
		}
	}
	share := func(marked, cells int) float32 { return float32(float64(marked) / float64(cells)) }
	box := newBoxCounts(cellBox{0, 0, p.W, p.H}, p.W, p.H, p.cells(seamBlurM/2), mark, share)
	for j := range p.H {
		if o.some[j] = box.next(); o.some[j] {
			box.values(o.share[j*p.W : (j+1)*p.W])
		}
	}
	return o
}

// boxShare averages over a box by a summed-area table.
func boxShare(v []float32, w, h, half int) []float32 {
	sum := make([]float64, (w+1)*(h+1))
	for y := range h {
		row := 0.0
		for x := range w {
			row += float64(v[y*w+x])
			sum[(y+1)*(w+1)+x+1] = sum[y*(w+1)+x+1] + row
		}
	}
	out := make([]float32, len(v))
	for y := range h {
		y0, y1 := max(0, y-half), min(h, y+half+1)
		for x := range w {
			x0, x1 := max(0, x-half), min(w, x+half+1)
			s := sum[y1*(w+1)+x1] - sum[y0*(w+1)+x1] - sum[y1*(w+1)+x0] + sum[y0*(w+1)+x0]
			out[y*w+x] = float32(s / float64((y1-y0)*(x1-x0)))
		}
	}
	return out
}
