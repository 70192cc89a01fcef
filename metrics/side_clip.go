package metrics

import "math"

// Just over the level line the far rows, hedges and the horizon's trees show
// through and beside the tree, as green as its own leaves. Up to the height
// where the tops of the next row can show, the tree's sides are therefore not
// read but drawn: from where they stand clear over that zone to where they
// stand clear against the ground under it, with room for a bulge.
const (
	// defaultRowM is the distance of the next row where the orchard file is
	// silent (common practice: 5 to 9 m; a nearer row shows higher).
	defaultRowM = 6.0
	// tallerRow: neighbours may be a tenth taller than the tree itself.
	tallerRow = 1.1
	// clearBandM of crown over the zone is read for its sides.
	clearBandM = 0.40
	// Under the level line the far ground's edge and its hedges end at most this
	// deep, and at least mildM deep; the sides are read in underBandM under that.
	deepestM, mildM, underBandM = 0.50, 0.10, 0.40
	// Where the hedges end the green narrows at once, by hedgeDropM or more over
	// two steps of hedgeStepM.
	hedgeDropM, hedgeStepM = 0.30, 0.04
	// mostFlare bounds how fast a side may widen downward; steeper is a limb's end.
	mostFlare = 1.0
	// bulgeM is the room a side has to swing out between the two.
	bulgeM = 0.10
	// taperDoubt of the difference of the widths above and under is left open
	// where the sides are drawn between them.
	taperDoubt = 0.33
	// hangM: leaves under the level line belong to the crown when they hang
	// together with it across less than this; shadows on the ground do not.
	hangM = 0.12
	// leastUnderM2 of foliage under the level line makes a side there.
	leastUnderM2 = 0.03
)

// zoneTopM is the height up to which the next row can show, as drawn.
func (t *SideTree) zoneTopM() float64 {
	p := t.Plane
	row := p.RowSpacingM
	if row <= 0 {
		row = defaultRowM
	}
	top := t.heightQuantile(topQuantile)
	ratio := p.DistanceM / (p.DistanceM + row)
	return math.Min(p.CameraHeightM+(top-p.CameraHeightM)*ratio*tallerRow, top-clearBandM)
}

// dropLoose takes away foliage under the level line that does not hang together
// with the crown over it.
func (t *SideTree) dropLoose() {
	p := t.Plane
	grown := t.foliage.dilated(hangM / 2 / p.CellM)
	label, sizes := grown.labels()
	over := make([]bool, len(sizes))
	level := p.Row(p.CameraHeightM)
	reach := p.cells(coreHalfM)
	mid := p.Column(t.TrunkM)
	for j := level; j < p.H; j++ {
		for i := max(0, mid-reach); i < min(p.W, mid+reach); i++ {
			over[label[j*p.W+i]] = true
		}
	}
	for i := range t.foliage.in[:level*p.W] {
		if t.foliage.in[i] && !over[label[i]] {
			t.foliage.in[i] = false
		}
	}
}

// clipZone draws the sides through the zone of the far rows and drops what lies
// outside them.
func (t *SideTree) clipZone() {
	p := t.Plane
	zone := t.zoneTopM()
	up, ok := t.sidesOver(zone)
	if !ok || zone <= p.CameraHeightM {
		return
	}
	foot := t.hedgeFootM()
	lowM := foot - underBandM/2
	down, under := t.under(foot)
	if !under { // the crown ends near the hedges' foot: half as wide there
		mid, quarter := (up.left+up.right)/2, (up.right-up.left)/4
		down = sides{left: mid - quarter, right: mid + quarter}
	}
	topM := zone + clearBandM/2
	for j := p.Row(foot); j <= p.Row(zone); j++ {
		d := topM - p.ZM(j)
		left := -side(-up.left, up.outL, -down.left, d, topM-lowM) - bulgeM
		right := side(up.right, up.outR, down.right, d, topM-lowM) + bulgeM
		for i := range p.W {
			if x := p.XM(i); x < left || x > right {
				t.foliage.in[j*p.W+i] = false
			}
		}
	}
	t.Zone, t.footM, t.zoneM = true, foot, zone
	t.zoneSDM = rss(2*bulgeM, taperDoubt*math.Abs((up.right-up.left)-(down.right-down.left)))
}

// sides are a crown's two sides and how fast they widen downward, metres a metre.
type sides struct{ left, right, outL, outR float64 }

// sidesOver reads the sides in the clear band over a height, and their course
// from the band over that one.
func (t *SideTree) sidesOver(zM float64) (s sides, ok bool) {
	p := t.Plane
	s.left, s.right, ok = t.extent(p.Row(zM), p.Row(zM+clearBandM), slabTrim)
	if !ok {
		return s, false
	}
	if l, r, ok := t.extent(p.Row(zM+clearBandM), p.Row(zM+2*clearBandM), slabTrim); ok {
		s.outL = math.Max(0, math.Min(mostFlare, (l-s.left)/clearBandM))
		s.outR = math.Max(0, math.Min(mostFlare, (s.right-r)/clearBandM))
	}
	return s, true
}

// side draws one side, outward positive, d metres under where it stands at up
// and widens by out a metre, to down at d = length: the parabola through these.
func side(up, out, down, d, length float64) float64 {
	return up + out*d - (up+out*length-down)*(d/length)*(d/length)
}

// hedgeFootM is how low the far hedges stand as drawn: under the sharpest
// narrowing of what hangs together with the crown, going down from the level
// line; mildM under it where nothing narrows sharply.
func (t *SideTree) hedgeFootM() float64 {
	p := t.Plane
	var wide []float64
	for z := p.CameraHeightM; z >= p.CameraHeightM-deepestM-2*hedgeStepM; z -= hedgeStepM {
		a, b, ok := t.slabOf(z, hedgeStepM/2, slabTrim)
		if !ok {
			a, b = 0, 0
		}
		wide = append(wide, b-a)
	}
	foot, drop := p.CameraHeightM-mildM, hedgeDropM
	for k := 0; k+2 < len(wide); k++ {
		if d := wide[k] - wide[k+2]; d > drop {
			foot, drop = p.CameraHeightM-float64(k+2)*hedgeStepM, d
		}
	}
	return foot
}

// under is the crown's reach against the ground under the far hedges' foot.
func (t *SideTree) under(footM float64) (s sides, ok bool) {
	p := t.Plane
	lo, hi := p.Row(footM-underBandM), p.Row(footM)
	n := 0
	for _, in := range t.foliage.in[lo*p.W : (hi+1)*p.W] {
		if in {
			n++
		}
	}
	if float64(n)*p.CellM*p.CellM < leastUnderM2 {
		return s, false
	}
	s.left, s.right, ok = t.extent(lo, hi, slabTrim)
	return s, ok
}

// inZone tells whether a height lies where far rows may show.
func (t *SideTree) inZone(zM float64) bool {
	return t.Zone && zM > t.footM && zM < t.zoneM
}

// ZoneTopM is the height up to which the next row shows through and beside the
// tree, as drawn.
func (t *SideTree) ZoneTopM() float64 { return t.zoneM }
