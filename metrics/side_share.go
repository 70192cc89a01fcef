package metrics

import "math"

// SideShares are shares of the outline's area on the row's plane.
type SideShares struct {
	Foliage, Sky float64
	// Thirds of the crown's height, bottom, middle, top: share filled by foliage;
	// NaN where a third holds no outline.
	Thirds [3]float64
	AreaM2 float64 // of the outline
}

// Shares counts what fills the outline. Cells outside the photo are left out.
func (t *SideTree) Shares() SideShares {
	p := t.Plane
	lo, hi := t.rowsOfOutline()
	var area, leaf [3]float64
	var sky, all, leaves float64
	for j := lo; j <= hi; j++ {
		third := min(2, 3*(j-lo)/(hi-lo+1))
		for i := range p.W {
			at := j*p.W + i
			if !t.outline.in[at] || p.Kind[at] == SideUnseen {
				continue
			}
			all++
			area[third]++
			switch {
			case t.foliage.in[at]:
				leaves++
				leaf[third]++
			case p.Kind[at] == SideSky:
				sky++
			}
		}
	}
	s := SideShares{Foliage: leaves / all, Sky: sky / all, AreaM2: all * p.CellM * p.CellM}
	for k := range s.Thirds {
		s.Thirds[k] = leaf[k] / area[k]
	}
	return s
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
	solid := newCellSet(p.W, p.H)
	for i := range solid.in {
		k := p.Kind[i]
		solid.in[i] = !t.outline.in[i] || (k != SideSky && k != SideGround)
	}
	d := distance2(solid)
	var out []SideGap
	for len(out) < n {
		best := -1
		for i, v := range d {
			if v > 0 && (best < 0 || v > d[best]) && clearOf(p, out, i, math.Sqrt(v)) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		r := math.Sqrt(d[best]) * p.CellM
		out = append(out, SideGap{SidePoint{p.XM(best % p.W), p.ZM(best / p.W)}, 2 * r})
	}
	return out
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
