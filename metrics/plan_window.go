package metrics

import "sort"

const (
	// windowStepM: centres are tried this far apart, a tenth of a window.
	windowStepM = 0.10
	// windowApart, times the diameter, keeps windows off each other: what stands
	// between them carries the next crop (ours).
	windowApart = 1.5
)

// Densest returns up to n centres of discs of a diameter that lie whole in the tree's
// outline between two heights and are fullest with leaf, the fullest first: where a
// window would bring light in. None where no disc fits.
func (t *SideTree) Densest(lowM, highM, diameterM float64, n int) []SidePoint {
	type spot struct {
		at   SidePoint
		leaf float64
	}
	var spots []spot
	p := t.Plane
	for z := lowM + windowStepM/2; z <= highM; z += windowStepM {
		for x := p.XM(0); x <= p.XM(p.W-1); x += windowStepM {
			if leaf, whole := t.discLeaf(SidePoint{x, z}, diameterM/2); whole {
				spots = append(spots, spot{SidePoint{x, z}, leaf})
			}
		}
	}
	sort.SliceStable(spots, func(i, j int) bool { return spots[i].leaf > spots[j].leaf })
	var out []SidePoint
	for _, s := range spots {
		if len(out) == n {
			break
		}
		if farFrom(out, s.at, windowApart*diameterM) {
			out = append(out, s.at)
		}
	}
	return out
}

func farFrom(taken []SidePoint, at SidePoint, apartM float64) bool {
	for _, o := range taken {
		if dx, dz := at.XM-o.XM, at.ZM-o.ZM; dx*dx+dz*dz < apartM*apartM {
			return false
		}
	}
	return true
}

// discLeaf is the leaf's share of a disc; whole is false where the disc leaves the
// outline.
func (t *SideTree) discLeaf(c SidePoint, radiusM float64) (share float64, whole bool) {
	p := t.Plane
	if c.ZM-radiusM < 0 || c.ZM+radiusM > p.ZM(p.H-1) || c.XM-radiusM < p.XM(0) || c.XM+radiusM > p.XM(p.W-1) {
		return 0, false
	}
	var all, leaf float64
	for j := p.Row(c.ZM - radiusM); j <= p.Row(c.ZM+radiusM); j++ {
		for i := p.Column(c.XM - radiusM); i <= p.Column(c.XM+radiusM); i++ {
			dx, dz := p.XM(i)-c.XM, p.ZM(j)-c.ZM
			if dx*dx+dz*dz > radiusM*radiusM {
				continue
			}
			if !t.outline.in[j*p.W+i] {
				return 0, false
			}
			all++
			if t.foliage.in[j*p.W+i] {
				leaf++
			}
		}
	}
	if all == 0 {
		return 0, false
	}
	return leaf / all, true
}
