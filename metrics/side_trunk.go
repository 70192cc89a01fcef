package metrics

import "math"

const (
	// A trunk is looked for between these heights above the ground, under and in the
	// skirts and above grass.
	trunkLowM, trunkHighM = 0.05, 1.00
	// trunkShare of what is not hidden by leaves or the board, that must look like
	// wood; and the least share of the column that is not hidden.
	trunkShare, trunkBare = 0.75, 0.35
	// A trunk's breadth (common practice: orchard trees 5 to 50 cm).
	trunkThinM, trunkThickM = 0.04, 0.60
	// boardReachM: the board stands at the trunk; its middle is at most this far.
	boardReachM = 0.80
	// leastSpacingM is the closest that two trees of a row stand (common practice:
	// high-density avocado 2 m and more).
	leastSpacingM = 1.5
)

// trunksAt returns the places along the row, metres, where a trunk stands in
// the row's plane: wood from the ground up to the skirts' height.
func trunksAt(p *SidePlane) []float64 {
	lo, hi := p.Row(trunkLowM), p.Row(trunkHighM)
	is := make([]bool, p.W)
	for i := range is {
		wood, seen := 0, 0
		for j := lo; j <= hi; j++ {
			switch p.Kind[j*p.W+i] {
			case SideWood:
				wood++
				seen++
			case SideGround:
				seen++
			}
		}
		is[i] = float64(seen) > trunkBare*float64(hi-lo) && float64(wood) >= trunkShare*float64(seen)
	}
	return runsOf(p, is)
}

// runsOf returns the middles of the runs of columns that are broad enough for
// a trunk and not too broad; breaks of 2 cm are bridged.
func runsOf(p *SidePlane, is []bool) []float64 {
	var out []float64
	gap := p.cells(0.02)
	for i := 0; i < len(is); i++ {
		if !is[i] {
			continue
		}
		last := i
		for k := i; k < len(is) && k-last <= gap; k++ {
			if is[k] {
				last = k
			}
		}
		if w := float64(last-i+1) * p.CellM; w >= trunkThinM && w <= trunkThickM {
			out = append(out, (p.XM(i)+p.XM(last))/2)
		}
		i = last
	}
	return out
}

// trunkLine is where the tree stands and where its neighbours do.
type trunkLine struct {
	xM          float64 // of the tree at the board
	seen        bool    // else the board's own place is taken
	left, right float64 // metres from the trunk to the neighbour's trunk; 0 not known
	both        bool    // both neighbours' trunks were seen
}

func findTrunks(p *SidePlane) trunkLine {
	all := trunksAt(p)
	t := trunkLine{}
	best := math.Inf(1)
	for _, x := range all {
		if d := math.Abs(x); d <= boardReachM && d < best {
			best, t.xM, t.seen = d, x, true
		}
	}
	for _, x := range all {
		switch d := x - t.xM; {
		case d >= leastSpacingM && (t.right == 0 || d < t.right):
			t.right = d
		case -d >= leastSpacingM && (t.left == 0 || -d < t.left):
			t.left = -d
		}
	}
	t.both = t.left > 0 && t.right > 0
	if s := p.TreeSpacingM; s > 0 {
		t.left, t.right = s, s
	} else if t.left == 0 {
		t.left = t.right // rows are planted evenly
	} else if t.right == 0 {
		t.right = t.left
	}
	return t
}
