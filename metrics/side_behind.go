package metrics

import "math"

// The next row shows through and beside the tree; its trunks' feet stand on the
// ground between the row's plane and the horizon, and say where its crowns can
// be: a tree a share rho = D/(D+row) as large, its foot drawn at h (1 - rho).
const (
	// A trunk of a row behind: wood of at least behindLeastM in a column, its foot
	// at least behindFootM up (a row 1.5 m behind, seen from 7 m) and ground under
	// it; breaks of behindGapM are leaves and twigs before it.
	behindLeastM, behindFootM, behindGapM = 0.25, 0.25, 0.04
	behindThinM, behindThickM             = 0.02, 0.35
	// Rows stand at least leastRowM apart (common practice), and two trunks of one
	// at least leastApartM, as drawn.
	leastRowM, leastApartM = 3.0, 0.5
	// Feet of one row lie on one line: within this of their median.
	behindLevelM = 0.12
	// Crowns of the next row may be larger than this tree's by crownSpread.
	crownSpread, crownMarginM, behindStepM = 1.25, 0.05, 0.05
)

// behind is the next row as drawn: its trunks' places and its scale; none where
// no trunk was seen.
type behind struct {
	xM  []float64
	rho float64
	// halfM bounds its crowns' half width at each behindStepM of drawn height,
	// lowM and topM their height, as drawn.
	halfM      []float64
	lowM, topM float64
}

// stem is a trunk seen behind the row: its place and its foot, as drawn.
type stem struct{ x, foot float64 }

// findBehind looks for the trunks of the next row.
func findBehind(p *SidePlane, ownTrunkM float64) behind {
	foot := make([]float64, p.W) // of each column
	is := make([]bool, p.W)
	for i := range is {
		z, ok := behindFoot(p, i)
		foot[i], is[i] = z, ok && math.Abs(p.XM(i)-ownTrunkM) > trunkThickM/2
	}
	var all []stem
	for i := 0; i < p.W; i++ {
		last := i
		for last+1 < p.W && is[i] && is[last+1] && math.Abs(foot[last+1]-foot[i]) < behindLevelM {
			last++
		}
		if w := float64(last-i+1) * p.CellM; is[i] && w >= behindThinM && w <= behindThickM {
			all = append(all, stem{(p.XM(i) + p.XM(last)) / 2, foot[(i+last)/2]})
		}
		i = last
	}
	level := nearestRow(all, p.CameraHeightM*(1-p.DistanceM/(p.DistanceM+leastRowM)))
	if math.IsInf(level, 1) {
		return behind{}
	}
	b := behind{rho: 1 - level/p.CameraHeightM}
	for _, s := range all {
		if math.Abs(s.foot-level) <= behindLevelM {
			b.xM = append(b.xM, s.x)
		}
	}
	return b
}

// nearestRow is the lowest drawn foot that another tree's stands level with;
// the lowest where none does; +Inf where there is none. Feet lower than leastM
// are of the row itself.
func nearestRow(all []stem, leastM float64) float64 {
	lowest, level := math.Inf(1), math.Inf(1)
	for _, a := range all {
		if a.foot < leastM {
			continue
		}
		lowest = math.Min(lowest, a.foot)
		for _, b := range all {
			if a.x < b.x-leastApartM && math.Abs(a.foot-b.foot) <= behindLevelM {
				level = math.Min(level, (a.foot+b.foot)/2)
			}
		}
	}
	if math.IsInf(level, 1) {
		return lowest
	}
	return level
}

// behindFoot is the drawn height of the foot of the wood in a column, under the
// level line and over the row's own foot.
func behindFoot(p *SidePlane, i int) (zM float64, ok bool) {
	lo, hi, gap := p.Row(behindFootM), p.Row(p.CameraHeightM), p.cells(behindGapM)
	run, miss, start := 0, 0, 0
	for j := lo; j <= hi; j++ {
		if p.Kind[j*p.W+i] == SideWood {
			if run == 0 {
				start = j
			}
			run, miss = run+1, 0
			continue
		}
		if miss++; miss > gap {
			if run >= p.cells(behindLeastM) {
				break
			}
			run = 0
		}
	}
	if run < p.cells(behindLeastM) || start <= lo+gap {
		return 0, false
	}
	ground := 0
	for j := start - 1; j > start-1-2*gap && j >= 0; j-- {
		if p.Kind[j*p.W+i] == SideGround {
			ground++
		}
	}
	return p.ZM(start), ground >= gap
}

// sizeBehind bounds the crowns of the next row by this tree's own: its top, its
// lowest leaves, and at each height its widest half width from there up; and by
// half the way between two trunks.
func (t *SideTree) sizeBehind(b *behind, topM, lowM float64) {
	h := t.Plane.CameraHeightM
	b.topM = h + (topM-h)*b.rho*tallerRow
	b.lowM = h - (h-lowM)*b.rho - crownMarginM
	most := math.Inf(1)
	if d := b.spacing(t.TrunkM); d > 0 {
		most = d / 2
	}
	b.halfM = make([]float64, int(b.topM/behindStepM)+2)
	widest := 0.0
	for k := len(b.halfM) - 1; k >= 0; k-- {
		own := h + (float64(k)*behindStepM-h)/(b.rho*tallerRow)
		if l, r, ok := t.slab(own, slabTrim); ok {
			widest = math.Max(widest, math.Max(r-t.TrunkM, t.TrunkM-l))
		}
		b.halfM[k] = math.Min(crownSpread*b.rho*widest+crownMarginM, most)
	}
}

// spacing is the distance between its trunks to both sides of a place, as
// drawn; 0 where one is missing.
func (b *behind) spacing(xM float64) float64 {
	l, r := math.Inf(-1), math.Inf(1)
	for _, x := range b.xM {
		if x < xM {
			l = math.Max(l, x)
		} else {
			r = math.Min(r, x)
		}
	}
	if math.IsInf(r-l, 0) || r-l < leastSpacingM*b.rho {
		return 0
	}
	return r - l
}

// hides tells whether a crown of the next row can show at a place.
func (b *behind) hides(xM, zM float64) bool {
	if zM < b.lowM || zM > b.topM {
		return false
	}
	half := b.halfM[min(int(zM/behindStepM), len(b.halfM)-1)]
	for _, x := range b.xM {
		if math.Abs(xM-x) <= half {
			return true
		}
	}
	return false
}
