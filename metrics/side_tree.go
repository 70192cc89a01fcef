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
	// box holds all of outline and foliage.
	box cellBox
	// leaf is how much leaf each cell of foliage within box stands for, those that it
	// hides counted; nil until the crown is cut out, each cell then counts as one.
	leaf []float32
	// sums are of the foliage as it is, crown and widths read off them; nil before they
	// were asked for and once the foliage has changed.
	sums   *crownSums
	crown  *crownTop
	widths []SideWidth
	// Cut tells which edges of the photo cut the crown.
	CutTop, CutLeft, CutRight bool
	// Zone is set where the tree's sides had to be drawn, not read, behind what
	// the next row shows over the level line, up to zoneM: in the rows drawn, the
	// widths there uncertain by doubtM, of which widerM toward the outside.
	Zone   bool
	zoneM  float64
	drawn  []bool
	mixed  []bool // drawn, or told by the sun's shade
	doubtM []float64
	widerM []float64
	// buried is set where too little of the crown stands clear over the rows
	// behind for its sides to be drawn from there.
	buried bool
	// sunless is where the sun's shade shows that no leaf of the tree hangs; nil where it
	// does not tell.
	sunless *sunless
	// behind are the next row's trunks, their crowns not yet bounded; nil before they were
	// looked for.
	behind *behind
	// cutChordM is the crown's breadth at the photo's upper edge.
	cutChordM float64
	// gaps are those found so far, open the open cells clear of them; nil before they
	// were asked for.
	gaps []SideGap
	open []openCell
}

// FindSideTree cuts the tree at the board out of the row: seams through the
// least foliage on both sides (half-way to the neighbours' trunks where these
// are seen), then what hangs together with the crown over the trunk.
func FindSideTree(p *SidePlane) (*SideTree, error) {
	t, err := cutOut(p, findTrunks(p))
	if err != nil {
		return nil, err
	}
	z := t.findZone()
	carved, err := t.carve(&z)
	if err != nil {
		return nil, err
	}
	if carved { // the tree that bounds it is another now
		z = t.findZone()
	}
	if t.clipZone(&z) && !t.keepCrown(t.foliage.bits(t.box)) {
		return nil, noCrown()
	}
	t.leaf = t.leafArea()
	t.findCuts()
	return t, nil
}

// cutOut lays seams to both sides of the trunk and keeps what hangs together with
// the crown over it.
func cutOut(p *SidePlane, line trunkLine) (*SideTree, error) {
	occupied := newOccupancy(p)
	t := &SideTree{Plane: p, TrunkM: line.xM, Trunk: line.seen, between: line.both}
	t.Left = soundSeam(p, occupied, line, -1, line.left)
	t.Right = soundSeam(p, occupied, line, 1, line.right)
	t.foliage, t.outline = newCellSet(p.W, p.H), newCellSet(p.W, p.H)
	for j := range p.H {
		from, to := j*p.W+t.Left[j]+1, j*p.W+t.Right[j]
		if from >= to {
			continue
		}
		row := t.foliage.in[from:to]
		for i, k := range p.Kind[from:to] {
			row[i] = k == SideFoliage
		}
	}
	leaf := t.foliage.bits(t.foliage.whole())
	t.dropLoose(leaf)
	if !t.keepCrown(leaf) {
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
func (t *SideTree) keepCrown(foliage *cellBits) bool {
	p := t.Plane
	r := closeDiscM / 2 / p.CellM
	box := foliage.bounds()
	if box.empty() {
		return false
	}
	leaf, x0, y0 := foliage.cropped(box, int(r)+2)
	grown := leaf.dilated(r)
	runs, sizes := grown.parts()
	best := t.corePart(leaf, runs, len(sizes), x0)
	if best == 0 {
		return false
	}
	for _, run := range runs {
		if run.part != best {
			leaf.remove(int(run.y), int(run.from), int(run.to))
			grown.remove(int(run.y), int(run.from), int(run.to))
		}
	}
	outline := grown.eroded(r).filled()
	for y := range outline.h {
		outline.remove(y, 0, max(0, t.Left[y0+y]+1-x0))
		outline.remove(y, max(0, t.Right[y0+y]-x0), outline.w)
	}
	b := outline.bounds()
	t.box = cellBox{b.x0 + x0, b.y0 + y0, b.x1 + x0, b.y1 + y0}
	leaf.put(t.foliage, x0, y0)
	outline.put(t.outline, x0, y0)
	t.sums = nil
	return float64(leaf.count())*p.CellM*p.CellM >= leastCrownM2
}

// corePart is the part with the most foliage near the trunk's line; 0 where there is
// none. x0 is the plane's column at which leaf and runs begin.
func (t *SideTree) corePart(leaf *cellBits, runs []cellRun, parts, x0 int) int32 {
	p := t.Plane
	votes := make([]int, parts)
	from, to := p.Column(t.TrunkM-coreHalfM)-x0, p.Column(t.TrunkM+coreHalfM)+1-x0
	for _, r := range runs {
		if a, b := max(int(r.from), from), min(int(r.to), to); a < b {
			votes[r.part] += leaf.countOf(int(r.y), a, b)
		}
	}
	best := 0
	for part, n := range votes {
		if n > votes[best] {
			best = part
		}
	}
	return int32(best)
}

// findCuts tells whether the crown runs into an edge of the photo.
func (t *SideTree) findCuts() {
	p := t.Plane
	var top, left, right int
	first, last := p.W, 0
	for j := t.box.y0; j < t.box.y1; j++ {
		for i := t.box.x0; i < t.box.x1; i++ {
			if !t.foliage.in[j*p.W+i] {
				continue
			}
			e := p.edgesOf(i, j)
			if e&topEdge != 0 {
				top++
				first, last = min(first, i), max(last, i)
			}
			if e&leftEdge != 0 {
				left++
			}
			if e&rightEdge != 0 {
				right++
			}
		}
	}
	few := p.cells(0.05) * p.cells(frameEdgeM) // a leaf's worth of cells
	t.CutTop, t.CutLeft, t.CutRight = top > few, left > few, right > few
	t.cutChordM = float64(max(0, last-first+1)) * p.CellM
}

// heightQuantile of the foliage's heights: the height below which share q of the
// tree's foliage lies as seen, metres; NaN for an empty tree.
func (t *SideTree) heightQuantile(q float64) float64 {
	k := quantileBin(t.summed().rows, q)
	if k < 0 {
		return math.NaN()
	}
	return t.Plane.ZM(t.box.y0 + k)
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
