package metrics

import (
	"math"
	"slices"
)

// SideShares are shares of the outline's area on the row's plane.
type SideShares struct {
	// Plant is the share of leaves and wood, Sky of sky seen through the outline,
	// Ground of ground.
	Plant, Sky, Ground float64
	// Thirds of the crown's height, bottom, middle, top: share of plant; NaN
	// where a third holds no outline.
	Thirds [3]float64
	// BehindSD is what the leaves of rows behind, seen through gaps low in the
	// crown, leave open of Plant (of the thirds: BehindThirdSD).
	BehindSD      float64
	BehindThirdSD [3]float64
	AreaM2        float64 // of the outline
}

// tally counts cells of the outline.
type tally struct{ all, plant, sky float64 }

func (a *tally) add(b tally) { a.all, a.plant, a.sky = a.all+b.all, a.plant+b.plant, a.sky+b.sky }

const (
	// behindShare: where nothing tells how much the rows behind cover, and the
	// crown shows less sky low down than over them, half of what is missing is
	// taken to be hidden by them.
	behindShare = 0.5
	// behindDoubt of what the rows behind hide is left open: what is seen past the
	// crown is not what stands right behind it.
	behindDoubt = 0.4
)

// Shares counts what fills the outline. Cells outside the photo are left out.
// NaN everywhere for an empty outline.
func (t *SideTree) Shares() SideShares {
	p := t.Plane
	lo, hi := t.rowsOfOutline()
	var thirds, zoned [3]tally
	var clear, all tally
	for j := lo; j <= hi; j++ {
		k := min(2, 3*(j-lo)/(hi-lo+1))
		row := t.tallyRow(j)
		thirds[k].add(row)
		all.add(row)
		if z := p.ZM(j); t.inZone(z) && z > p.CameraHeightM {
			zoned[k].add(row)
		} else if z > t.zoneM {
			clear.add(row)
		}
	}
	s := SideShares{Sky: all.sky / all.all, AreaM2: all.all * p.CellM * p.CellM}
	var hiddenAll float64
	for k := range thirds {
		hidden := t.hiddenGaps(zoned[k], clear)
		s.Thirds[k] = (thirds[k].plant - hidden) / thirds[k].all
		s.BehindThirdSD[k] = behindDoubt * hidden / thirds[k].all
		hiddenAll += hidden
	}
	s.Plant, s.BehindSD = (all.plant-hiddenAll)/all.all, behindDoubt*hiddenAll/all.all
	s.Ground = (all.all - all.plant - all.sky) / all.all
	return s
}

// hiddenGaps is the area of gaps that rows behind fill: where they cover a share
// q of what is seen beside the crown they cover as much of its gaps, and of each
// gap 1-q shows sky.
func (t *SideTree) hiddenGaps(zoned, clear tally) float64 {
	if q, ok := t.behindCover(); ok {
		q = math.Min(q, behindMost)
		return zoned.sky * q / (1 - q)
	}
	if clear.all == 0 {
		return 0
	}
	return behindShare * math.Max(0, clear.sky/clear.all*zoned.all-zoned.sky)
}

func (t *SideTree) tallyRow(j int) tally {
	p := t.Plane
	var n tally
	for at := j * p.W; at < (j+1)*p.W; at++ {
		if !t.outline.in[at] || p.Kind[at] == SideUnseen {
			continue
		}
		n.all++
		switch {
		case t.foliage.in[at], p.Kind[at] == SideWood:
			n.plant++
		case p.Kind[at] == SideSky:
			n.sky++
		}
	}
	return n
}

func (t *SideTree) rowsOfOutline() (lo, hi int) {
	p := t.Plane
	lo, hi = p.H-1, 0
	for i, in := range t.outline.in {
		if in {
			lo, hi = min(lo, i/p.W), max(hi, i/p.W)
		}
	}
	return lo, hi
}

// SideGap is an opening through the crown: its inscribed circle.
type SideGap struct {
	At        SidePoint
	DiameterM float64
}

// Gaps returns up to n openings (sky or ground seen through the outline), the
// largest inscribed circle first; circles do not overlap.
func (t *SideTree) Gaps(n int) []SideGap {
	p := t.Plane
	if t.toSolid == nil {
		solid := newCellSet(p.W, p.H)
		for i := range solid.in {
			k := p.Kind[i]
			solid.in[i] = !t.outline.in[i] || (k != SideSky && k != SideGround)
		}
		t.toSolid = distance2(solid)
	}
	for len(t.gaps) < n {
		best, least := -1, 0.0
		for i, v := range t.toSolid {
			if v > least && clearOf(p, t.gaps, i, math.Sqrt(v)) {
				best, least = i, v
			}
		}
		if best < 0 {
			break
		}
		r := math.Sqrt(least) * p.CellM
		t.gaps = append(t.gaps, SideGap{SidePoint{p.XM(best % p.W), p.ZM(best / p.W)}, 2 * r})
	}
	return slices.Clone(t.gaps[:min(n, len(t.gaps))])
}

func clearOf(p *SidePlane, gaps []SideGap, cell int, radiusCells float64) bool {
	x, z := p.XM(cell%p.W), p.ZM(cell/p.W)
	for _, g := range gaps {
		if math.Hypot(x-g.At.XM, z-g.At.ZM) < g.DiameterM/2+radiusCells*p.CellM {
			return false
		}
	}
	return true
}
