package metrics

import "math"

const (
	// carveCellM is the raster that shade is asked for on; carveReachM of the trunk, as drawn.
	carveCellM, carveReachM = 0.05, 3.5
	// A place of the plane has no shade of its own where all ground on its line, at least
	// carveSeen of which is seen, is shaded to less than carveShare.
	carveSeen, carveShare = 0.6, 0.3
	// carveSteps places of a line are asked for, to each side of the plane.
	carveSteps = 8
	// A crown's outline is drawn by leaves within outlineDepth of its depth from the row's
	// plane: it is widest there.
	outlineDepth = 0.5
	// What the crown's form and the sun's place leave open of its depth: depthSlackM, and
	// fallSlack of how far shade falls (3 degrees).
	depthSlackM, fallSlack = 0.10, 0.05
	// upperSpread: lower down a crown may be so much wider than over the rows behind.
	upperSpread = 1.3
	// The radius of a crown that shade is looked for within.
	carveLeastM, carveMostM = 0.8, 2.5
	// endReachM beyond an edge that is the crown's own there is no shade of it.
	endReachM = 0.30
	// sunEdgeSDM: an edge found so is good to the ground's cells and the rim's penumbra.
	sunEdgeSDM = 0.10
)

// sunless are the places of the row's plane where no leaf of the tree can hang, for its
// shade is missing on the ground. Each is looked at when it is asked for.
type sunless struct {
	w, h    int
	leftM   float64
	known   []sunAnswer
	g       *GroundShade
	share   []float32
	falls   []sunFall
	radiusM float64
	tree    *SideTree
}

// sunAnswer is what is known of a place.
type sunAnswer uint8

const (
	sunUnasked sunAnswer = iota
	sunNone
	sunMay
)

// at tells whether a place is sunless.
func (s *sunless) at(xM, zM float64) bool {
	i, j := int(math.Floor((xM-s.leftM)/carveCellM)), int(zM/carveCellM)
	if i < 0 || j < 0 || i >= s.w || j >= s.h {
		return false
	}
	known := &s.known[j*s.w+i]
	if *known == sunUnasked {
		*known = sunNone
		at := SidePoint{s.leftM + (float64(i)+0.5)*carveCellM, (float64(j) + 0.5) * carveCellM}
		for _, f := range s.falls {
			if !s.tree.unshaded(s.g, s.share, f, at, s.radiusM) {
				*known = sunMay
				break
			}
		}
	}
	return *known == sunNone
}

// ends tells whether the tree ends at a place of its side: just beyond it no leaf can hang.
func (s *sunless) ends(xM, zM, side float64) bool {
	for d := carveCellM; d <= endReachM; d += carveCellM {
		if s.at(xM+side*d, zM) {
			return true
		}
	}
	return false
}

// carve takes away foliage, where rows behind can show, that the sun's shade on the ground
// shows to be other trees'. It leaves the tree as it was, and says so, where the ground does
// not tell.
func (t *SideTree) carve(z *zone) (carved bool, err error) {
	g := t.Plane.Ground
	if g == nil {
		return false, nil
	}
	share := g.shadeShares()
	radius := t.upperRadius(z)
	falls := t.findFalls(g, share, radius)
	if len(falls) == 0 {
		return false, nil
	}
	t.sunless = t.newSunless(g, share, falls, radius)
	p, b := t.Plane, t.box
	for j := b.y0; j < b.y1; j++ {
		zM := p.ZM(j)
		all, byCrowns := z.atHeight(zM)
		if !all && !byCrowns {
			continue
		}
		row := t.foliage.in[j*p.W+b.x0 : j*p.W+b.x1]
		for i, in := range row {
			if !in {
				continue
			}
			if xM := p.XM(b.x0 + i); (all || z.next.hides(xM, zM)) && t.sunless.at(xM, zM) {
				row[i] = false
			}
		}
	}
	if !t.keepCrown(t.foliage.bits(t.box)) {
		return false, noCrown()
	}
	return true, nil
}

// upperRadius is what the crown's radius may be, by what stands clear over the rows behind.
func (t *SideTree) upperRadius(z *zone) float64 {
	p := t.Plane
	a, b, ok := t.extent(p.Row(math.Max(z.topM, p.CameraHeightM)), p.H-1, slabTrim)
	if !ok {
		return carveMostM
	}
	return math.Min(carveMostM, math.Max(carveLeastM, upperSpread*p.radius((b-a)/2)))
}

func (t *SideTree) newSunless(g *GroundShade, share []float32, falls []sunFall, radiusM float64) *sunless {
	p := t.Plane
	s := &sunless{
		w: int(2 * carveReachM / carveCellM), h: int(float64(p.H) * p.CellM / carveCellM), leftM: t.TrunkM - carveReachM,
		g: g, share: share, falls: falls, radiusM: radiusM, tree: t,
	}
	s.known = make([]sunAnswer, s.w*s.h)
	return s
}

// unshaded tells whether all ground that a leaf drawn at a place can shade is seen, for
// the most part, and sunlit.
func (t *SideTree) unshaded(g *GroundShade, share []float32, f sunFall, at SidePoint, radiusM float64) bool {
	p := t.Plane
	aside := at.XM - t.TrunkM
	deep := outlineDepth*math.Sqrt(math.Max(0, radiusM*radiusM-aside*aside)) + depthSlackM + fallSlack*at.ZM*math.Hypot(f.rightM, f.awayM)
	seen := 0
	for k := -carveSteps; k <= carveSteps; k++ {
		y := deep * float64(k) / carveSteps
		q := (p.DistanceM + y) / p.DistanceM
		x, z := p.CameraXM+(at.XM-p.CameraXM)*q, p.CameraHeightM+(at.ZM-p.CameraHeightM)*q
		switch s := shadeAt(g, share, x+z*f.rightM, y+z*f.awayM); {
		case s == unseenShade:
		case s >= carveShare:
			return false
		default:
			seen++
		}
	}
	return float64(seen) >= carveSeen*(2*carveSteps+1)
}
