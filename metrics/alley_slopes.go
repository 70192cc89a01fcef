package metrics

import "math"

// slopes are what a chance changes by for a unit more of each unknown.
type slopes [alleyUnknowns]float64

// alleyModel is the rows and the crown at one set of unknowns, laid out for the sights
// and looks that are held against them.
type alleyModel struct {
	crown           crown
	rows            [2]crossing
	spacingM        float64
	perTree         float64 // 1 / spacingM
	cameraM         float64
	yaw, sunX, sunY float64
	sun             [sunSteps]sunLayer
	sunLowM         float64 // where the lowest of them begins
	sunStepM        float64 // between those, upward
	// sunBase and sunTop are what that step grows by for a unit more of the unknowns.
	sunBase, sunTop float64
	// lowBase and lowTop are the same of the layers' lower end.
	lowBase, lowTop float64
	// What face works out of the above for all looks: from the leftmost to the rightmost
	// layer, half depths; the way through one, m; and what density adds to its slopes.
	sunLeft, sunRight           float64
	sunLengthM                  float64
	perBase, perTop, perX, perY float64
	exp                         *expTable
	// How the crown's base and top, m, follow their unknowns: a top held up by the
	// base is the base's.
	baseByBase, topByBase, topByTop float64
}

// crossing is the steps that sights across a row of crowns are summed over.
type crossing struct {
	side, lineM, firstM float64
	stepM               float64
	lineMoves           float64             // 1, or 0 where the line is held at its least
	outM, outSteps      [crossSteps]float64 // outward of the camera, the same in steps
	from                int                 // the first step of which a share counts
	// share of each step lies before the camera's own line; lineShare and depthShare
	// are its slopes.
	share, lineShare, depthShare [crossSteps]float64
	plan                         [crossSteps]float64 // (across / half depth)^2
}

func newCrossing(r *alleyRow, halfDepthM float64) (s crossing) {
	s.side, s.lineM, s.firstM, s.lineMoves = r.side, r.lineM, r.firstM, 1
	s.stepM = 2 * crossReach * halfDepthM / crossSteps
	for i := range s.share {
		x := crossReach * ((2*float64(i)+1)/crossSteps - 1)
		s.plan[i], s.outM[i] = x*x, r.lineM+x*halfDepthM
		s.outSteps[i] = s.outM[i] / s.stepM
		s.share[i] = 0.5 + s.outSteps[i]
		switch {
		case s.share[i] >= 1:
			s.share[i] = 1
		case s.share[i] <= 0:
			s.share[i], s.from = 0, i+1
		default:
			s.lineShare[i], s.depthShare[i] = 1/s.stepM, -r.lineM/s.stepM
		}
	}
	return s
}

// passed sums the leaves' density that a sight meets in a row, and how that changes.
type passed struct {
	density float64
	// ahead is its change for each metre that all places move ahead, and outward the
	// same where each moves as far as it lies outward.
	ahead, outward float64
	length         float64    // for the crown's ln length
	side, sideH    float64    // for each unit of h, the height from the crown's middle; the same times h
	form           [2]float64 // for ln of the exponents
	// By the steps that are cut short: for the row's line, the crown's ln depth and the
	// sight's slope outward.
	cutLine, cutDepth, cutSlope float64
}

// pass runs a sight through a row's crowns. slope is how far outward it goes for each
// metre ahead, ahead the same turned round. t, all zero, is filled in place: copying it takes a tenth of a sight.
func (m *alleyModel) pass(s *crossing, slope, ahead, up float64, t *passed) {
	c := &m.crown
	// Height in cells of the crown's side, and the way along in trees, for each metre outward.
	cell, cellPerM := (2*m.cameraM-c.topM-c.baseM)*c.perHalf*sidePerH+sideSteps, 2*up*ahead*c.perHalf*sidePerH
	tree, treePerM, perTree := s.firstM*m.perTree, ahead*m.perTree, m.spacingM*c.perLength
	sinks, lands := up < 0, math.Inf(1) // after so many steps on the ground
	if sinks {
		lands = -slope * m.cameraM / (up * s.stepM)
	}
	var density, along1, alongOut, along2, side, sideOut float64
	for i := s.from; i < crossSteps; i++ {
		out := s.outM[i]
		over := lands - s.outSteps[i]
		h := cell + cellPerM*out
		if over <= -0.5 {
			break
		}
		if h < 0 || h >= 2*sideSteps {
			if sinks == (h < 0) {
				break // it goes on down, or up
			}
			continue
		}
		along := treePerM*out - tree
		along = (along - (along + wholeBits - wholeBits)) * perTree
		at := int(h)
		h -= float64(at)
		l := &c.side[at]
		leaf, perQ := thinning(s.plan[i] + along*along + l.at + l.rise*h)
		if share := s.share[i]; share < 1 || over < 0.5 {
			cut := min(over+0.5, 1)
			t.cutLine += leaf * cut * s.lineShare[i]
			t.cutDepth += leaf * cut * s.depthShare[i]
			if cut < 1 {
				t.cutLine -= leaf * share / s.stepM
				t.cutDepth += leaf * share * (s.lineM/s.stepM - lands)
				t.cutSlope += leaf * share * lands * ahead
			}
			share *= cut
			leaf *= share
			perQ *= share
		}
		density += leaf
		t.form[at/sideSteps&1] -= 8 * perQ * (l.form + l.formRise*h)
		rise := perQ * l.rise
		side += rise
		sideOut += rise * out
		perQ *= along
		along1 += perQ
		alongOut += perQ * out
		along2 += perQ * along
	}
	perSide := 2 * sidePerH * c.perHalf * up
	t.density = density
	t.ahead = -8 * (2*c.perLength*along1 + perSide*side)
	t.outward = -8 * (2*c.perLength*alongOut + perSide*sideOut)
	t.length = 16 * along2
	t.side = -8 * sidePerH * side
	t.sideH = -8 * ((cell-sideSteps)*side + cellPerM*sideOut)
}

// sight is the chance that a sight ends on canopy, the row it looks at, and the
// chance's slopes: those of that row's line stand at uLeft for either row. moved is
// false where there are none.
func (m *alleyModel) sight(r *AlleyRay, d *slopes) (p float64, row int, moved bool) {
	slope, perYaw := r.Right-m.yaw, -1.0
	if row = 1; slope < 0 {
		slope, perYaw, row = -slope, 1, 0
	}
	if slope < sideLeast {
		return fogShare, row, false
	}
	s, c := &m.rows[row], &m.crown
	ahead := 1 / slope
	var t passed
	m.pass(s, slope, ahead, r.Up, &t)
	if t.density == 0 {
		return fogShare, row, false
	}
	level := (1 + r.Up*r.Up) * ahead * ahead
	length := s.stepM * math.Sqrt(1+level)
	open := m.exp.of(-c.perM * t.density * length)
	by := (1 - 2*fogShare) * open * c.perM * length
	base := (t.sideH - t.side) * c.perHalf
	top := -(t.sideH + t.side) * c.perHalf
	d[uDepth] = by * (ahead*(t.outward-s.lineM*t.ahead) + t.cutDepth + t.density)
	d[uLength] = by * t.length
	d[uBase] = by * (base*m.baseByBase + top*m.topByBase)
	d[uTop] = by * top * m.topByTop
	d[uPerM] = by * t.density
	d[uLow], d[uHigh] = by*t.form[0], by*t.form[1]
	d[uYaw] = by * perYaw * (t.cutSlope - ahead*(ahead*t.outward+t.density*level/(1+level)))
	d[uLeft] = by * (ahead*t.ahead + t.cutLine) * s.lineMoves
	return fogShare + (1-2*fogShare)*(1-open), row, true
}
