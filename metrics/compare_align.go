package metrics

import "math"

// SideFit lays a second side photo's plane onto a first one's: a point of the
// first shows in the second at
//
//	x' = StretchX x + Lean z + ShiftXM, z' = StretchZ z + ShiftZM
//
// in metres on the row's plane. Two boards set up twice put the planes within a
// few percent of each other; the crowns then tell the rest.
type SideFit struct {
	StretchX, StretchZ, Lean float64
	ShiftXM, ShiftZM         float64
	// Agreement is, of the second photo's leaves, the share that lies where the
	// first one shows plant, over what chance alone would give (0) to all (1).
	Agreement float64
}

// At maps a point of the first plane into the second.
func (f SideFit) At(p SidePoint) SidePoint {
	return SidePoint{f.StretchX*p.XM + f.Lean*p.ZM + f.ShiftXM, f.StretchZ*p.ZM + f.ShiftZM}
}

// plainFit takes the boards at their word.
func plainFit() SideFit { return SideFit{StretchX: 1, StretchZ: 1} }

const (
	// fitEvery: every third cell (3 cm, a third of a leaf) is enough to place a
	// crown by.
	fitEvery = 3
	// fitFloorM: what grows on the ground is no mark to go by.
	fitFloorM = 0.8
	// skyCost weighs a leaf that would hang in what was open sky against one on
	// leaf: a prune takes leaves away and never hangs one up.
	skyCost = 1.0
)

// fitSteps are the first steps of the search, metres at the crown, halved
// fitHalvings times: 20 cm is what a board 4 cm off and a degree of tilt make at
// 5 m of height; the last step is under a cell.
const (
	fitShiftM   = 0.16
	fitStretch  = 0.03
	fitHalvings = 5
	// No further from the boards' own placing than this: else a crown that lost its
	// top is stretched over the place of the old one.
	fitMostShiftM, fitMostStretch = 0.30, 0.05
)

// fitSides searches, from the boards' own placing, how the second plane lies on
// the first, by what both show above the ground: neighbours and all, for these
// stand in the same row.
func fitSides(first, second *SidePlane) SideFit {
	g := newFitGrid(first, second)
	best := plainFit()
	score := g.score(best)
	shift, stretch := fitShiftM, fitStretch
	for range fitHalvings {
		for moved := true; moved; {
			moved = false
			for _, next := range best.neighbours(shift, stretch) {
				if s := g.score(next); s > score {
					best, score, moved = next, s, true
				}
			}
		}
		shift, stretch = shift/2, stretch/2
	}
	best.Agreement = g.agreement(best)
	return best
}

// fitPivotM is the height that stretch and lean turn about: half a crown.
const fitPivotM = 2.5

// neighbours are the fits one step away.
func (f SideFit) neighbours(shiftM, stretch float64) []SideFit {
	var out []SideFit
	for _, k := range [2]float64{-1, 1} {
		a, b, c, d, e := f, f, f, f, f
		a.ShiftXM += k * shiftM
		b.ShiftZM += k * shiftM
		c.StretchX += k * stretch
		d.StretchZ += k * stretch
		d.ShiftZM -= k * stretch * fitPivotM
		e.Lean += k * stretch
		e.ShiftXM -= k * stretch * fitPivotM
		for _, n := range [5]SideFit{a, b, c, d, e} {
			if n.nearBoards() {
				out = append(out, n)
			}
		}
	}
	return out
}

// nearBoards tells whether a fit keeps to the boards' placing, half way up.
func (f SideFit) nearBoards() bool {
	at := f.At(SidePoint{0, fitPivotM})
	return math.Hypot(at.XM, at.ZM-fitPivotM) <= fitMostShiftM &&
		math.Abs(f.StretchX-1) <= fitMostStretch && math.Abs(f.StretchZ-1) <= fitMostStretch && math.Abs(f.Lean) <= fitMostStretch
}

// fitGrid is the first plane's cells that can tell, and the second plane.
type fitGrid struct {
	at     []SidePoint
	plant  []bool // leaf or wood in the first photo; else open sky
	second *SidePlane
}

func newFitGrid(first, second *SidePlane) *fitGrid {
	g := &fitGrid{second: second}
	for j := first.Row(fitFloorM); j < first.H; j += fitEvery {
		for i := 0; i < first.W; i += fitEvery {
			k := first.Kind[j*first.W+i]
			if k != SideFoliage && k != SideWood && k != SideSky {
				continue
			}
			g.at = append(g.at, SidePoint{first.XM(i), first.ZM(j)})
			g.plant = append(g.plant, k != SideSky)
		}
	}
	return g
}

// kindAt is what a plane shows at a point; SideUnseen outside it.
func (p *SidePlane) kindAt(q SidePoint) SideKind {
	i, j := int(math.Floor((q.XM-p.LeftM)/p.CellM)), int(math.Floor(q.ZM/p.CellM))
	if i < 0 || j < 0 || i >= p.W || j >= p.H {
		return SideUnseen
	}
	return p.Kind[j*p.W+i]
}

// score is how many cells speak for a fit, less those that speak against it.
func (g *fitGrid) score(f SideFit) float64 {
	var s float64
	for i, p := range g.at {
		switch k := g.second.kindAt(f.At(p)); {
		case k == SideFoliage && g.plant[i]:
			s++
		case k == SideFoliage:
			s -= skyCost
		case k == SideSky && !g.plant[i]:
			s++
		}
	}
	return s
}

// agreement is how much oftener than by chance a leaf of the second photo lies
// on plant of the first; 0 where either shows nothing.
func (g *fitGrid) agreement(f SideFit) float64 {
	var seen, plant, leaf, both float64
	for i, p := range g.at {
		k := g.second.kindAt(f.At(p))
		if k == SideUnseen {
			continue
		}
		seen++
		if g.plant[i] {
			plant++
		}
		if k == SideFoliage {
			leaf++
			if g.plant[i] {
				both++
			}
		}
	}
	if leaf == 0 || plant == 0 || plant == seen {
		return 0
	}
	chance := plant / seen
	return math.Max(0, (both/leaf-chance)/(1-chance))
}
