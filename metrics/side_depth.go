package metrics

import (
	"math"
	"sort"
)

// A crown has depth: what hangs toward the camera shows too high above the
// level line and too low below it. The crown is taken as round about its
// middle: a leaf on the skyline x to the side of the middle, in a crown of
// radius r at its height, hangs up to s = sqrt(r^2 - x^2) before the row's
// plane, and shows at z = h + (H-h) D/(D-s) for its true height H; h and D are
// the camera's height and distance. A flat crown 1.3 m in radius and 5.1 m
// high shows 5.9 m from 6.9 m away.
const (
	// skylineShare of s is where the skyline's leaves are taken to hang: at 1 all
	// sit on the near rim, as on a dense flat top; leaves spread evenly over the
	// disc hang at 0 in the mean, the near half at 4/(3 pi) = 0.42. Between those,
	// with a spread that reaches both.
	skylineShare, skylineShareSD = 0.65, 0.40
	// rimM: the rim that makes the skyline lies up to this far under the top.
	rimM = 0.45
	// skylineQuantile of the columns' tops is the crown's top: the columns at the
	// crown's sides end lower, single twigs stand out.
	skylineQuantile = 0.85
	// skylineColumnM is a column of the skyline, skylineSpanM what it is the
	// highest of: a leaf's length to each side.
	skylineColumnM, skylineSpanM = 0.02, 0.10
	// leastTopM2 of leaf at or over a column's top, or it is a speckle.
	leastTopM2  = 0.0004
	depthStepM  = 0.02
	depthRounds = 6
)

// depthModel knows the crown's left and right ends as drawn on the row's plane
// at each depthStepM of height; NaN where there is no crown.
type depthModel struct {
	leftM, rightM []float64
	hM, dM        float64
}

func (t *SideTree) depthModel() depthModel {
	p := t.Plane
	n := int(float64(p.H)*p.CellM/depthStepM) + 1
	m := depthModel{make([]float64, n), make([]float64, n), p.CameraHeightM, p.DistanceM}
	for k := range n {
		m.leftM[k], m.rightM[k] = math.NaN(), math.NaN()
		if a, b, ok := t.slabOf(float64(k)*depthStepM, 0.06, slabTrim); ok {
			m.leftM[k], m.rightM[k] = a, b
		}
	}
	return m
}

// rim is the middle and the radius of the crown within rimM under a height; ok
// is false where there is no crown.
func (m depthModel) rim(zM float64) (middleM, radiusM float64, ok bool) {
	l, r := math.Inf(1), math.Inf(-1)
	to := min(len(m.leftM)-1, int(zM/depthStepM))
	for k := max(0, int((zM-rimM)/depthStepM)); k <= to; k++ {
		if !math.IsNaN(m.leftM[k]) {
			l, r = math.Min(l, m.leftM[k]), math.Max(r, m.rightM[k])
		}
	}
	if r <= l {
		return 0, 0, false
	}
	return (l + r) / 2, silhouetteRadius((r-l)/2, m.dM), true
}

// height turns a place on the skyline, as drawn on the row's plane, into the
// height of the leaf seen there.
func (m depthModel) height(at SidePoint, share float64) float64 {
	z := m.hM + (at.ZM-m.hM)*0.75 // from below: the lowest height that fits
	for range depthRounds {
		mid, r, ok := m.rim(z)
		if !ok {
			return at.ZM
		}
		x := at.XM - mid
		s := share * math.Sqrt(math.Max(0, r*r-x*x))
		z = m.hM + (at.ZM-m.hM)*(m.dM-s)/m.dM
	}
	return z
}

// skyline returns the highest foliage as drawn in each skylineColumnM over the
// level line.
func (t *SideTree) skyline() []SidePoint {
	p, b := t.Plane, t.box
	step := p.cells(skylineColumnM)
	need := max(1, int(leastTopM2/(p.CellM*p.CellM)))
	var out []SidePoint
	for i := b.x0 / step * step; i < b.x1 && i+step <= p.W; i += step {
		n, top := 0, 0
		for j := b.y1 - 1; j >= b.y0 && n < need; j-- {
			for _, in := range t.foliage.in[j*p.W+i:][:step] {
				if in {
					n++
				}
			}
			top = j
		}
		if n >= need {
			out = append(out, SidePoint{p.XM(i + step/2), p.ZM(top)})
		}
	}
	return spanned(out)
}

// spanned lifts each point, from left to right, to the highest within skylineSpanM to
// its sides.
func spanned(in []SidePoint) []SidePoint {
	out := make([]SidePoint, len(in))
	first := 0
	for i, c := range in {
		out[i] = c
		for c.XM-in[first].XM > skylineSpanM {
			first++
		}
		for _, o := range in[first:] {
			if o.XM-c.XM > skylineSpanM {
				break
			}
			out[i].ZM = math.Max(out[i].ZM, o.ZM)
		}
	}
	return out
}

// topReach bounds the crown along the row where it stands clear of rows behind,
// whose lower tops would pull the skyline down.
func (t *SideTree) topReach() (leftM, rightM float64) {
	if t.Zone {
		if a, b, ok := t.extent(t.Plane.Row(t.zoneM), t.Plane.H-1, 0); ok {
			return a, b
		}
	}
	return math.Inf(-1), math.Inf(1)
}

// crownTop is a crown's height, the place as drawn that it hangs on, and the standard
// deviation from its unknown depth.
type crownTop struct {
	zM  float64
	at  SidePoint
	sdM float64
}

// top returns the crown's top; its height is NaN for an empty crown.
func (t *SideTree) top() (zM float64, at SidePoint, sdM float64) {
	if t.level() {
		return t.levelTop()
	}
	if t.summed(); t.crown == nil {
		c := t.findTop()
		t.crown = &c
	}
	return t.crown.zM, t.crown.at, t.crown.sdM
}

func (t *SideTree) findTop() crownTop {
	m := t.depthModel()
	var all []crownTop
	left, right := t.topReach()
	share := skylineShare
	if t.CutTop { // the photo's edge cuts what shows highest: the near rim
		share = 1
	}
	for _, s := range t.skyline() {
		if s.XM < left || s.XM > right {
			continue
		}
		z := s.ZM
		if z > m.hM {
			z = m.height(s, share)
		}
		all = append(all, crownTop{zM: z, at: s})
	}
	if len(all) == 0 {
		return crownTop{zM: math.NaN()}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].zM < all[j].zM })
	top := all[min(len(all)-1, int(skylineQuantile*float64(len(all))))]
	_, r, _ := m.rim(top.zM)
	top.sdM = skylineShareSD * r / m.dM * math.Abs(top.at.ZM-m.hM)
	return top
}

// silhouetteRadius turns half a width as drawn on the row's plane into the
// radius of a round crown: r = D sin(atan(x/D)) (trade sheet 4.3: a crown of
// radius 2.5 m at 8 m shows 5.27 % too wide).
func silhouetteRadius(drawnM, distanceM float64) float64 {
	if distanceM <= 0 {
		return drawnM
	}
	return drawnM / math.Hypot(1, drawnM/distanceM)
}
