package metrics

// crownSums are what widths and heights of the crown are counted from, over its box.
// What leaf a cell stands for is 1, or a float32 from 1 to 4: a float64 adds up any
// number of these without rounding, so a sum over some rows is exactly the difference
// of two sums from the lowest row on.
type crownSums struct {
	// rows is the foliage by row. Skirts before the ground are found too thinly to weigh
	// them: but for a tree laid level, each cell counts as one.
	rows []float64
	// seen is the number of cells of foliage under each row, below the leaf under each
	// row by column.
	seen  []int
	below []float64
	part  []float64 // one sum by column
}

func (t *SideTree) summed() *crownSums {
	if t.sums == nil {
		t.sums, t.crown, t.widths = t.sumUp(), nil, nil
	}
	return t.sums
}

func (t *SideTree) sumUp() *crownSums {
	b := t.box
	wide, high := b.x1-b.x0, b.y1-b.y0
	s := &crownSums{make([]float64, high), make([]int, high+1), make([]float64, (high+1)*wide), make([]float64, wide)}
	for k := range high {
		under, over := s.below[k*wide:][:wide], s.below[(k+1)*wide:][:wide]
		n, leaf := 0, 0.0
		for i, in := range t.foliage.in[(b.y0+k)*t.Plane.W+b.x0:][:wide] {
			here := 0.0
			if in {
				n++
				if here = 1; t.leaf != nil {
					here = float64(t.leaf[k*wide+i])
				}
			}
			leaf += here
			over[i] = under[i] + here
		}
		s.seen[k+1] = s.seen[k] + n
		if s.rows[k] = float64(n); t.level() {
			s.rows[k] = leaf
		}
	}
	return s
}

// leafBetween is the number of cells of foliage from lowRow up to highRow of the plane, and
// the leaf there by column of the box.
func (t *SideTree) leafBetween(lowRow, highRow int) (seen int, leaf []float64) {
	s, b := t.summed(), t.box
	lo := min(max(lowRow-b.y0, 0), b.y1-b.y0)
	hi := min(max(highRow+1-b.y0, lo), b.y1-b.y0)
	wide := len(s.part)
	under, over := s.below[lo*wide:][:wide], s.below[hi*wide:][:wide]
	for i := range s.part {
		s.part[i] = over[i] - under[i]
	}
	return s.seen[hi] - s.seen[lo], s.part
}
