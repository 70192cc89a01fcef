package metrics

import "math"

// The sums of package wallsums by their definition, one sight after another in doubles.

// slopes are what a chance changes by for a unit more of each unknown.
type slopes [alleyUnknowns]float64

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
	open := math.Exp(-c.perM * t.density * length)
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

// shade is the chance that the sun does not reach a place, and its slopes; nil asks for
// none. moved is false where there are none.
func (m *alleyModel) shade(l *AlleyFloorLook, d *slopes) (p float64, moved bool) {
	density := m.sunward(l, d)
	if density == 0 {
		return sunFogShare, false
	}
	perM := m.crown.perM
	open := math.Exp(-perM * density * m.sunLengthM)
	p = sunFogShare + (1-2*sunFogShare)*(1-open)
	if d == nil {
		return p, false
	}
	d[uPerM] = density
	d[uBase] += density * m.perBase
	d[uTop] += density * m.perTop
	d[uSunX] += density * m.perX
	d[uSunY] += density * m.perY
	by := (1 - 2*sunFogShare) * open * perM * m.sunLengthM
	for j := range d {
		d[j] *= by
	}
	return p, true
}

// sunward sums the leaves' density from a place toward the sun and, but for nil, its slopes.
func (m *alleyModel) sunward(l *AlleyFloorLook, d *slopes) (density float64) {
	if d != nil {
		*d = slopes{}
	}
	for k := range m.rows {
		density += m.sunwardIn(k, l, d)
	}
	return density
}

// sunwardIn is one row's part of sunward.
func (m *alleyModel) sunwardIn(k int, l *AlleyFloorLook, d *slopes) (density float64) {
	const reach = crossReach + shadeEdge
	r, c := &m.rows[k], &m.crown
	// Across is to the right in both rows: a crown is the same from either side.
	foot := (l.RightM - m.yaw*l.AheadM - r.side*r.lineM) * c.perDepth
	if foot+m.sunLeft > reach || foot+m.sunRight < -reach {
		return 0
	}
	tree, perTree := (l.AheadM-r.firstM)*m.perTree, m.spacingM*c.perLength
	// Sums of the slopes by half depths to the right and ahead, by themselves and times
	// the places' own; the rest follows from these.
	var right, rightAcross, rightUp, ahead, aheadAlong, aheadUp, base, top float64
	var form [2]float64
	for i := range m.sun {
		s := &m.sun[i]
		across := foot + s.across
		if across > reach || across < -reach {
			continue
		}
		along := tree + s.trees
		along = (along - (along + wholeBits - wholeBits)) * perTree
		leaf, perQ := thinning(across*across + along*along + s.side)
		share, perShare := edge(across)
		density += leaf * share
		if d == nil {
			continue
		}
		perQ *= -8 * share
		perX := 2*perQ*across + leaf*perShare
		right += perX
		rightAcross += perX * across
		rightUp += perX * s.steps
		base += perQ * s.sideByBase
		top += perQ * s.sideByTop
		form[s.which&1] += perQ * s.form
		perQ *= along
		ahead += perQ
		aheadAlong += perQ * along
		aheadUp += perQ * s.steps
	}
	if d == nil || density == 0 {
		return density
	}
	right, rightUp = right*c.perDepth, rightUp*c.perDepth
	ahead, aheadUp = 2*ahead*c.perLength, 2*aheadUp*c.perLength
	rise, riseUp := right*m.sunX+ahead*m.sunY, rightUp*m.sunX+aheadUp*m.sunY
	d[uDepth] -= rightAcross
	d[uLength] -= 2 * aheadAlong
	d[uBase] += rise*m.lowBase + riseUp*m.sunBase + base
	d[uTop] += rise*m.lowTop + riseUp*m.sunTop + top
	d[uLow] += form[0]
	d[uHigh] += form[1]
	d[uYaw] -= right * l.AheadM
	d[uLeft+k] -= right * r.side * r.lineMoves
	d[uSunX] += right*m.sunLowM + rightUp*m.sunStepM
	d[uSunY] += ahead*m.sunLowM + aheadUp*m.sunStepM
	return density
}

// edge is the share of a crown's leaves that count so many half depths across from its
// middle, and its slope: all within crossReach, fading out about it so that no place
// jumps out of the shade as the rows move.
func edge(across float64) (share, slope float64) {
	slope = -1 / (2 * shadeEdge)
	if across < 0 {
		across, slope = -across, -slope
	}
	share = (crossReach + shadeEdge - across) / (2 * shadeEdge)
	if share >= 1 {
		return 1, 0
	}
	return share, slope
}

// thinning is leaves, and an eighth of its slope, downward.
func thinning(q float64) (leaf, thins float64) {
	q2 := q * q
	q4 := q2 * q2
	leaf = 1 / (1 + q4*q4)
	return leaf, q4 * q2 * q * leaf * leaf
}

// treePass is one sight's way through a row, as far as it hangs on where one tree stands.
type treePass struct {
	others float64 // the density met in other trees
	perM   float64 // what a density of 1 takes of the sight
	canopy bool    // it ends on it
	steps  int     // that lie in the tree
	// Of each: how far across the row, m, the distance from the crown's middle but for
	// that, squared, and its share.
	across, rest, share [crossSteps]float64
}

// past runs a sight, Right turned outward, through a row past a tree.
func (a *Alley) past(r *alleyRow, s *crossing, tree int, ray AlleyRay) (t treePass) {
	c := &a.crown
	if ray.Right < sideLeast {
		return t
	}
	ahead, perTree := 1/ray.Right, 1/a.SpacingM
	t.canopy = ray.Canopy
	t.perM = c.perM * s.stepM * math.Sqrt(1+(1+ray.Up*ray.Up)*ahead*ahead)
	for i, x := range s.outM {
		y := x * ahead
		z := a.scene.CameraHeightM + ray.Up*y
		h := (2*z - c.topM - c.baseM) * c.perHalf
		share := s.share[i] * aboveGround(z, ray.Up*s.stepM*ahead)
		if h >= sideReach || h <= -sideReach || share == 0 {
			continue
		}
		k := math.Floor((y-r.firstM)*perTree + 0.5)
		along := (y - r.firstM - k*a.SpacingM) * c.perLength
		across, rest := x-r.lineM, along*along+c.sideAt(h)
		if int(k) == tree {
			t.across[t.steps], t.rest[t.steps], t.share[t.steps] = across, rest, share
			t.steps++
			continue
		}
		off, _ := r.off(int(k))
		across = (across - off) * c.perDepth
		t.others += share * leaves(across*across+rest)
	}
	return t
}

// aboveGround is the share of a step that lies above the ground, its middle at z, over
// which it rises by so much.
func aboveGround(z, riseM float64) float64 {
	if riseM >= 0 {
		return 1
	}
	return math.Max(0, math.Min(1, 0.5-z/riseM))
}

// open is the chance that the sight passes where the tree stands offM off the row's line.
func (t *treePass) open(a *Alley, offM float64) float64 {
	density := t.others
	for i := range t.steps {
		x := (t.across[i] - offM) * a.crown.perDepth
		density += t.share[i] * leaves(x*x+t.rest[i])
	}
	return math.Exp(-t.perM * density)
}

// odds is minus the log of the chances of all that was seen.
type odds struct {
	sum, chance float64
	count       int
}

// tallied chances are multiplied before their logarithm is taken: none is under 0.01, so
// that so many stay far above a double's end.
const tallied = 64

func (t *odds) see(p float64, blocked bool) {
	if !blocked {
		p = 1 - p
	}
	if t.count == 0 {
		t.chance = 1
	}
	t.chance *= p
	if t.count++; t.count == tallied {
		t.sum, t.count = t.sum-math.Log(t.chance), 0
	}
}

func (t *odds) cost() float64 {
	if t.count == 0 {
		return t.sum
	}
	return t.sum - math.Log(t.chance)
}

// density is the leaf density at a place relative to the crown's middle: 1
// inside, a half on the surface.
func (c *crown) density(across, along, z float64) float64 {
	h := (2*z - c.topM - c.baseM) * c.perHalf
	if h >= sideReach || h <= -sideReach {
		return 0
	}
	x, y := across*c.perDepth, along*c.perLength
	return leaves(x*x + y*y + c.sideAt(h))
}

// leaves is the density at q from the crown's middle, 1 on its surface.
func leaves(q float64) float64 {
	q *= q
	q *= q
	return 1 / (1 + q*q)
}
