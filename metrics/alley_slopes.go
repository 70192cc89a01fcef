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
	cameraM         float64
	yaw, sunX, sunY float64
	sun             [sunSteps]sunLayer
	sunStepM        float64 // between those, upward
	// sunBase and sunTop are what that step grows by for a unit more of the unknowns.
	sunBase, sunTop float64
	exp             *expTable
	// How the crown's base and top, m, follow their unknowns: a top held up by the
	// base is the base's.
	baseByBase, topByBase, topByTop float64
}

// crossing is the steps that sights across a row of crowns are summed over.
type crossing struct {
	side, lineM, firstM float64
	stepM               float64
	lineMoves           float64 // 1, or 0 where the line is held at its least
	outM                [crossSteps]float64
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
		s.share[i] = 0.5 + s.outM[i]/s.stepM
		switch {
		case s.share[i] >= 1:
			s.share[i] = 1
		case s.share[i] <= 0:
			s.share[i] = 0
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
// metre ahead.
func (m *alleyModel) pass(s *crossing, slope, up float64) (t passed) {
	c := &m.crown
	ahead, perTree := 1/slope, 1/m.spacingM
	sinks, perStep := up < 0, 0.0 // steps that it sinks by, for each metre
	if sinks {
		perStep = -slope / (up * s.stepM)
	}
	for i := range s.outM {
		share := s.share[i]
		y := s.outM[i] * ahead
		z := m.cameraM + up*y
		h := (2*z - c.topM - c.baseM) * c.perHalf
		if sinks && z*perStep <= -0.5 || !sinks && h >= sideReach {
			break // it goes on down, or up
		}
		if h >= sideReach || h <= -sideReach || share == 0 {
			continue
		}
		along := y - s.firstM
		along = (along - m.spacingM*math.Floor(along*perTree+0.5)) * c.perLength
		k, side, perH, perForm := c.sideSlopes(h)
		q := s.plan[i] + along*along + side
		leaf, thins := thinning(q)
		if share < 1 || sinks && z*perStep < 0.5 {
			cut := 1.0
			if sinks {
				cut = min(z*perStep+0.5, 1)
			}
			t.cutLine += leaf * cut * s.lineShare[i]
			t.cutDepth += leaf * cut * s.depthShare[i]
			if cut < 1 {
				high := m.cameraM * perStep
				t.cutLine -= leaf * share / s.stepM
				t.cutDepth += leaf * share * (s.lineM/s.stepM - high)
				t.cutSlope += leaf * share * high * ahead
			}
			share *= cut
		}
		perQ := thins * share
		move := perQ * 2 * (along*c.perLength + perH*c.perHalf*up)
		t.density += leaf * share
		t.ahead += move
		t.outward += move * s.outM[i]
		t.length -= 2 * perQ * along * along
		t.side += perQ * perH
		t.sideH += perQ * perH * h
		t.form[k] += perQ * perForm
	}
	return t
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
	t := m.pass(s, slope, r.Up)
	if t.density == 0 {
		return fogShare, row, false
	}
	ahead := 1 / slope
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
