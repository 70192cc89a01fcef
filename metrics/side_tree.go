package metrics

import "math"

const (
	// closeDiscM is the disc the outline is closed with: what the truth's
	// envelope is defined by.
	closeDiscM = 0.50
	// coreHalfM: the tree's own crown is the part that reaches within this of
	// its trunk's line.
	coreHalfM = 0.60
	// leastCrownM2 is the smallest crown that is a tree (common practice: a
	// whip of the first year is larger).
	leastCrownM2 = 0.15
)

// SideTree is the tree at the board, cut out of its row.
type SideTree struct {
	Plane   *SidePlane
	TrunkM  float64 // along the row
	Trunk   bool    // the trunk was seen
	between bool    // both neighbours' trunks were seen
	Left    []int   // a column a row: the seam to the left neighbour
	Right   []int
	foliage *cellSet
	outline *cellSet
	// leaf is how much leaf each cell of foliage stands for, those that it hides
	// counted; nil until the crown is cut out, each cell then counts as one.
	leaf []float32
	// Cut tells which edges of the photo cut the crown.
	CutTop, CutLeft, CutRight bool
	// Zone is set where the tree's sides had to be drawn, not read, behind what
	// the next row shows over the level line, up to zoneM: in the rows drawn, the
	// widths there uncertain by doubtM, of which widerM toward the outside.
	Zone   bool
	zoneM  float64
	drawn  []bool
	doubtM []float64
	widerM []float64
	// buried is set where too little of the crown stands clear over the rows
	// behind for its sides to be drawn from there.
	buried bool
	// cutChordM is the crown's breadth at the photo's upper edge.
	cutChordM float64
	// gaps are those found so far, toSolid the squared distance of each cell within the
	// outline from what is not open (cells); nil before they were asked for.
	gaps    []SideGap
	toSolid []float64
}

// FindSideTree cuts the tree at the board out of the row: seams through the
// least foliage on both sides (half-way to the neighbours' trunks where these
// are seen), then what hangs together with the crown over the trunk.
func FindSideTree(p *SidePlane) (*SideTree, error) {
	t, err := cutOut(p, findTrunks(p))
	if err != nil {
		return nil, err
	}
	t.clipZone()
	if !t.keepCrown() {
		return nil, noCrown()
	}
	t.leaf = t.leafArea()
	t.findCuts()
	return t, nil
}

// cutOut lays seams to both sides of the trunk and keeps what hangs together with
// the crown over it.
func cutOut(p *SidePlane, line trunkLine) (*SideTree, error) {
	occ := occupancy(p)
	t := &SideTree{Plane: p, TrunkM: line.xM, Trunk: line.seen, between: line.both}
	t.Left = soundSeam(p, occ, line, -1, line.left)
	t.Right = soundSeam(p, occ, line, 1, line.right)
	t.foliage = newCellSet(p.W, p.H)
	for j := range p.H {
		for i := t.Left[j] + 1; i < t.Right[j]; i++ {
			t.foliage.in[j*p.W+i] = p.Kind[j*p.W+i] == SideFoliage
		}
	}
	t.dropLoose()
	if !t.keepCrown() {
		return nil, noCrown()
	}
	return t, nil
}

// NoCrownReason is why a side photo without a crown is refused: a tree that was
// felled gives it.
const NoCrownReason = "no foliage found over the board"

func noCrown() error {
	return &Unusable{Reason: NoCrownReason, Mend: "stand so that the whole tree at the board is in the picture, in daylight"}
}

// keepCrown leaves only the parts of the foliage that hang together (across
// less than the closing disc) with the crown over the trunk, and draws the
// outline: closed, holes filled. false where nothing is left.
func (t *SideTree) keepCrown() bool {
	p := t.Plane
	r := closeDiscM / 2 / p.CellM
	grown := t.foliage.dilated(r)
	label, _ := grown.labels()
	best := t.corePart(label)
	if best == 0 {
		return false
	}
	for i := range t.foliage.in {
		if label[i] != best {
			t.foliage.in[i], grown.in[i] = false, false
		}
	}
	t.outline = grown.eroded(r).filled()
	t.inSeams(t.outline)
	return float64(t.foliage.count())*p.CellM*p.CellM >= leastCrownM2
}

// corePart is the part with the most foliage near the trunk's line.
func (t *SideTree) corePart(label []int32) int32 {
	p := t.Plane
	votes := map[int32]int{}
	a, b := p.Column(t.TrunkM-coreHalfM), p.Column(t.TrunkM+coreHalfM)
	for j := range p.H {
		for i := a; i <= b; i++ {
			if t.foliage.in[j*p.W+i] {
				votes[label[j*p.W+i]]++
			}
		}
	}
	best, most := int32(0), 0
	for id, n := range votes {
		if n > most || n == most && id < best {
			best, most = id, n
		}
	}
	return best
}

func (t *SideTree) inSeams(s *cellSet) {
	for j := range s.h {
		for i := range s.w {
			if i <= t.Left[j] || i >= t.Right[j] {
				s.in[j*s.w+i] = false
			}
		}
	}
}

// findCuts tells whether the crown runs into an edge of the photo.
func (t *SideTree) findCuts() {
	p := t.Plane
	var top, left, right int
	first, last := p.W, 0
	for cell, in := range t.foliage.in {
		if !in {
			continue
		}
		e := p.edgesAt(cell)
		if e&topEdge != 0 {
			top++
			first, last = min(first, cell%p.W), max(last, cell%p.W)
		}
		if e&leftEdge != 0 {
			left++
		}
		if e&rightEdge != 0 {
			right++
		}
	}
	few := p.cells(0.05) * p.cells(frameEdgeM) // a leaf's worth of cells
	t.CutTop, t.CutLeft, t.CutRight = top > few, left > few, right > few
	t.cutChordM = float64(max(0, last-first+1)) * p.CellM
}

// Quantile of the foliage's heights: the height below which share q of the
// tree's foliage lies as seen, metres; NaN for an empty tree.
func (t *SideTree) heightQuantile(q float64) float64 {
	p := t.Plane
	rows := make([]float64, p.H)
	for i, in := range t.foliage.in {
		if in && t.level() {
			rows[i/p.W] += t.leafAt(i)
		} else if in { // skirts before the ground are found too thinly to weigh them
			rows[i/p.W]++
		}
	}
	k := quantileBin(rows, q)
	if k < 0 {
		return math.NaN()
	}
	return p.ZM(k)
}

// quantileBin is the first bin at which the share q of the counts is reached;
// -1 where all are empty.
func quantileBin[T int | float64](n []T, q float64) int {
	var total, seen T
	for _, v := range n {
		total += v
	}
	if total == 0 {
		return -1
	}
	for k, v := range n {
		if seen += v; float64(seen) >= q*float64(total) && v > 0 {
			return k
		}
	}
	return len(n) - 1
}
