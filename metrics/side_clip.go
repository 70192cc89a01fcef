package metrics

import "math"

// Just over the level line the far rows, hedges and the horizon's trees show
// through and beside the tree, as green as its own leaves. Where they can show,
// the tree's sides are not read but drawn: between the heights where its edge
// stands clear of them, and never inside what is clear.
const (
	// defaultRowM is the distance of the next row where neither the orchard file
	// nor a trunk of it tells (common practice: 5 to 9 m; a nearer row shows higher).
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
	// Hedges and far rows end at most hedgeMostM over the level line; columns
	// beside the tree show where: in hedgeShare of them hedgeOpenM of sky stand
	// over it.
	hedgeMostM, hedgeShare, hedgeOpenM = 0.5, 0.25, 0.10
	// slopeBandM of crown over a drawn stretch tell how fast its side widens.
	slopeBandM = 0.80
	// mostFlare bounds how fast a side may widen downward, metres a metre.
	mostFlare = 1.0
	// bulgeM is the room a side has to swing out between two heights.
	bulgeM = 0.05
	// drawnDoubt of the way from a drawn side to the outermost green is its
	// standard deviation: two of it reach the green. (Evenly over the whole way
	// from the innermost it would be 0.58 of half of it.)
	drawnDoubt = 0.45
	// evenly is the standard deviation of what may lie anywhere on a way, over the way.
	evenly = 0.29
	// leastClear of the crown's height must stand clear over the rows behind for
	// its sides to be drawn from there down; else they are taken half-way.
	leastClear = 0.30
	// hangM: leaves under the level line belong to the crown when they hang
	// together with it across less than this; shadows on the ground do not.
	hangM = 0.12
	// endShare: a crown that ends within the zone closes to this share of its
	// reach at the zone's end (an ellipsoid's tenth from its end is 0.6 wide, a
	// flat skirt 1).
	endShare = 0.75
	// clearMostM: leaf that is clear of the rows behind but farther out than this
	// from the drawn side hangs on no crown of this form.
	clearMostM = 0.40
	// edgeHalfM of rows about a height are read for its edge; leastEdgeM2 of leaf
	// there is an edge and no speckle.
	edgeHalfM, leastEdgeM2 = 0.08, 0.004
)

// zone is where rows behind can show.
type zone struct {
	lowM, topM       float64
	hedgeLowM, hedge float64
	next             behind
}

// hides tells whether something behind the tree can show at a place.
func (z *zone) hides(xM, zM float64) bool {
	all, byCrowns := z.atHeight(zM)
	return all || byCrowns && z.next.hides(xM, zM)
}

// atHeight tells whether something behind can show all along a height, or if not, where
// the crowns of the next row are.
func (z *zone) atHeight(zM float64) (all, byCrowns bool) {
	if zM < z.lowM || zM > z.topM {
		return false, false
	}
	all = zM >= z.hedgeLowM && zM <= z.hedge || len(z.next.xM) == 0
	return all, !all
}

// findZone bounds what the rows behind can hide.
func (t *SideTree) findZone() zone {
	p := t.Plane
	h, top := p.CameraHeightM, t.heightQuantile(topQuantile)
	if t.behind == nil {
		b := findBehind(p, t.TrunkM)
		t.behind = &b
	}
	z := zone{next: *t.behind, hedgeLowM: t.hedgeFootM()}
	rho := z.next.rho
	if len(z.next.xM) == 0 {
		rho = p.DistanceM / (p.DistanceM + p.rowM())
	}
	z.lowM, z.hedge = z.hedgeLowM, h+hedgeMostM
	z.topM = math.Min(h+(top-h)*rho*tallerRow, top-clearBandM)
	if len(z.next.xM) > 0 {
		t.sizeBehind(&z.next, top, t.heightQuantile(baseQuantile))
		z.lowM = math.Min(z.lowM, z.next.lowM)
		z.hedge = t.hedgeTopM(&z)
		z.topM = math.Max(z.topM, math.Min(z.hedge, top-clearBandM))
	}
	return z
}

// hedgeTopM is how high the far hedges and rows reach beside the tree.
func (t *SideTree) hedgeTopM(z *zone) float64 {
	p := t.Plane
	lo, hi := p.Row(p.CameraHeightM), p.Row(p.CameraHeightM+hedgeMostM)
	n, open := make([]int, hi-lo+1), p.cells(hedgeOpenM)
	for i := range p.W {
		if z.next.hides(p.XM(i), p.CameraHeightM) {
			continue
		}
		sky := 0
		for j := lo; j <= hi; j++ {
			if p.Kind[j*p.W+i] != SideSky {
				sky = 0
			} else if sky++; sky == open {
				n[j-lo]++
				break
			}
		}
	}
	if k := quantileBin(n, hedgeShare); k >= 0 {
		return p.ZM(lo+k) + hedgeOpenM
	}
	return p.CameraHeightM + hedgeMostM
}

// dropLoose takes away foliage under the level line that does not hang together
// with the crown over it.
func (t *SideTree) dropLoose(foliage *cellBits) {
	p := t.Plane
	runs, sizes := foliage.dilated(hangM / 2 / p.CellM).parts()
	over := make([]bool, len(sizes))
	level, mid, reach := p.Row(p.CameraHeightM), p.Column(t.TrunkM), p.cells(coreHalfM)
	for _, r := range runs {
		if int(r.y) >= level && int(r.from) < mid+reach && int(r.to) > mid-reach {
			over[r.part] = true
		}
	}
	for _, r := range runs {
		if int(r.y) < level && !over[r.part] {
			foliage.remove(int(r.y), int(r.from), int(r.to))
		}
	}
}

// clipZone draws the sides where rows behind can show and drops what lies
// outside them. It tells whether there is such a zone.
func (t *SideTree) clipZone(z *zone) bool {
	p := t.Plane
	if z.topM <= p.CameraHeightM {
		return false
	}
	lo, hi := p.Row(z.lowM-underBandM), p.H-1
	left, right := t.edges(z, lo, hi)
	base, top := t.heightQuantile(baseQuantile), t.heightQuantile(topQuantile)
	clearTop := z.topM <= top-leastClear*(top-base)
	for _, e := range [2]*sideEdge{left, right} {
		e.flare(p.Row(math.Max(z.topM, top-leastClear*(top-base)))-lo, p.CellM)
		if clearTop {
			e.draw(p.CellM)
		} else {
			e.halve()
		}
	}
	left.inward()
	right.inward()
	t.drawn, t.mixed = make([]bool, p.H), make([]bool, p.H)
	t.doubtM, t.widerM = make([]float64, p.H), make([]float64, p.H)
	for j := lo; j <= hi; j++ {
		k := j - lo
		t.drawn[j] = left.drawn[k] || right.drawn[k]
		t.mixed[j] = t.drawn[j] || left.bySun[k] || right.bySun[k]
		leftSD, leftWider := left.doubt(k)
		rightSD, rightWider := right.doubt(k)
		t.doubtM[j], t.widerM[j] = rss(leftSD, rightSD), rss(leftWider, rightWider)
		t.clipRow(j, left, right, k)
	}
	t.sums = nil
	t.Zone, t.zoneM, t.buried = true, z.topM, !clearTop
	return true
}

// clipRow drops row j's foliage beyond sides that were not read there, in their place k.
func (t *SideTree) clipRow(j int, left, right *sideEdge, k int) {
	if p, b := t.Plane, t.box; t.mixed[j] && j >= b.y0 && j < b.y1 {
		from, to := t.TrunkM-left.outM[k]-bulgeM, t.TrunkM+right.outM[k]+bulgeM
		for i := b.x0; i < b.x1; i++ {
			if x := p.XM(i); x < from && left.told(k) || x > to && right.told(k) {
				t.foliage.in[j*p.W+i] = false
			}
		}
	}
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

// inZone tells whether rows behind can show at the sides at a height.
func (t *SideTree) inZone(zM float64) bool {
	return t.Zone && t.mixed[t.Plane.Row(zM)]
}

// ZoneTopM is the height up to which the next row shows through and beside the
// tree, as drawn.
func (t *SideTree) ZoneTopM() float64 { return t.zoneM }
