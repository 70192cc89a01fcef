package main

import (
	"math"

	"rowlight/internal/scene"
)

// planFloor looks down at a board under a tree.
func planFloor(rnd *scene.Rand) *plan {
	p := &plan{target: 0, headingDeg: rnd.Between(0, 360), design: map[string]any{}}
	p.light = drawLight(rnd, 30, 86, 0.15)
	p.film, p.look, p.ground = drawFilm(rnd, 1600, 0.25), drawLook(rnd, p.light), drawGround(rnd)
	spec := drawTree(rnd, 2.5, 8)
	index := rnd.Between(0.2, 4.8)
	spec.LeafAreaM2 = index * math.Pi * spec.AlongM * spec.AcrossM
	spacing := 2 * spec.AlongM * rnd.Between(0.85, 1.4)
	row := rnd.Between(0, 360)
	turn := (row - p.headingDeg - 90) * math.Pi / 180
	for _, k := range []float64{0, -1, 1} {
		s := spec
		if k != 0 {
			s = alike(rnd, spec, 1.15)
		}
		p.plant(s, k*spacing*math.Cos(turn), -k*spacing*math.Sin(turn), row)
	}
	bx, by := p.floorSpot(rnd, spec)
	board := scene.FlatBoard(p.number(rnd), p.at(bx, by), p.headingDeg+rnd.Between(-40, 40))
	if chance(rnd, 0.3) { // it lies on something
		board = board.Turned(rnd.Between(-2, 2), 0, 0)
	}
	p.boards = []scene.Board{board}
	tilt, up := rnd.Between(0, 30), rnd.Between(1.2, 1.9)
	back := up*math.Tan(tilt*math.Pi/180) + rnd.Between(-0.2, 0.2)
	p.eye = p.at(bx+rnd.Between(-0.25, 0.25), by-back)
	p.eye.Z += up
	p.pitchDeg, p.rollDeg = tilt-90+0.1, rnd.Between(-5, 5)
	p.design = map[string]any{"leaf_area_index": round(index), "board_from_trunk_m": round(math.Hypot(bx, by)), "spacing_m": round(spacing)}
	p.describe(spec)
	return p
}

// floorSpot is where the board lies: mostly under the tree or in its shade, at
// times anywhere near.
func (p *plan) floorSpot(rnd *scene.Rand, s scene.TreeSpec) (right, ahead float64) {
	away, bearing := rnd.Between(0.5, 1.9), rnd.Between(0, 2*math.Pi)
	right, ahead = away*math.Sin(bearing), away*math.Cos(bearing)
	if chance(rnd, 0.35) {
		return right, ahead
	}
	const nearM, farM = 0.5, 2.5
	shade := math.Max(nearM, math.Min(farM, rnd.Between(0.2, 0.8)*s.HeightM/math.Tan(p.light.sun.ElevationDeg*math.Pi/180)))
	turn := (p.light.sun.AzimuthDeg + 180 + rnd.Between(-35, 35) - p.headingDeg) * math.Pi / 180
	return shade * math.Sin(turn), shade * math.Cos(turn)
}

// number draws a board's number.
func (p *plan) number(rnd *scene.Rand) int { return int(rnd.Float() * scene.BoardNumbers) }

// planSide looks at a tree from the side, its neighbours and a row or two behind.
func planSide(rnd *scene.Rand) *plan {
	p := &plan{target: 0, headingDeg: rnd.Between(0, 360), design: map[string]any{}}
	p.light = drawLight(rnd, 25, 80, 0.25)
	p.film, p.look, p.ground = drawFilm(rnd, 2400, 0.3), drawLook(rnd, p.light), drawGround(rnd)
	against := chance(rnd, 0.25)
	if against { // toward a low sun
		p.light = drawLight(rnd, 18, 40, 0)
		p.headingDeg = p.light.sun.AzimuthDeg + rnd.Between(-35, 35)
	}
	slope := drawSlope(rnd, &p.ground)
	spec := drawTree(rnd, 2.5, 9)
	gap := rnd.Between(-0.35, 1.8)
	spacing := 2*spec.AlongM + gap
	rows := spec.AcrossM*2 + rnd.Between(1.8, 4)
	row := p.headingDeg + 90
	tree := p.plant(spec, 0, 0, row)
	p.plant(alike(rnd, spec, 1.1), -spacing, 0, row)
	p.plant(alike(rnd, spec, 1.1), spacing, 0, row)
	for k := -4.0; k <= 4; k++ {
		p.plant(alike(rnd, spec, 1.6), k*spacing+0.3*spacing, rows, row)
		if math.Abs(k) > 1 {
			p.plant(alike(rnd, spec, 1.6), k*spacing, 0, row)
		}
	}
	distance := p.sideCamera(rnd, tree)
	foot := p.at(ways(rnd, -1.0, 1.0)*rnd.Between(0.3, 0.9), rnd.Between(-0.06, 0.06))
	board := scene.UprightBoard(p.number(rnd), foot, p.headingDeg+180).Turned(leans(rnd))
	p.boards = []scene.Board{board}
	p.design = map[string]any{"gap_to_neighbours_m": round(gap), "spacing_m": round(spacing), "row_spacing_m": round(rows),
		"distance_m": round(distance), "slope_deg": round(slope), "against_the_light": against}
	p.describe(spec)
	return p
}

// leans draws how crooked a board stands: mostly hardly, at times a few degrees.
func leans(rnd *scene.Rand) (leanDeg, yawDeg, rollDeg float64) {
	if chance(rnd, 0.35) {
		return rnd.Between(-5, 5), rnd.Between(-10, 10), rnd.Between(-1.5, 1.5)
	}
	return rnd.Between(-1, 1), rnd.Between(-3, 3), rnd.Between(-0.4, 0.4)
}

// sideCamera stands so far off that the whole tree is seen, mostly, and looks at
// its middle.
func (p *plan) sideCamera(rnd *scene.Rand, tree *scene.Tree) (distanceM float64) {
	c := p.camera()
	up := rnd.Between(1.25, 1.85)
	half := math.Atan(float64(p.film.height) / 2 / c.FocalPx)
	height := tree.HeightM()
	need := 4.0 // metres at which ground and top just fit
	for ; need < 16; need += 0.1 {
		if math.Atan((height-up+0.3)/(need-0.5*tree.Spec.AcrossM))+math.Atan(up/need) < 1.9*half {
			break
		}
	}
	distanceM = max(4.5, need*rnd.Between(1.0, 1.45))
	if chance(rnd, 0.08) {
		distanceM = max(4.2, need*0.75) // its top is cut off
	}
	p.eye = p.at(rnd.Between(-0.4, 0.4), -distanceM)
	p.eye.Z += up
	lift := p.eye.Z - p.ground.HeightM(0, 0)
	low, high := math.Atan(-lift/distanceM), math.Atan((height+0.2-lift)/(distanceM-0.5*tree.Spec.AcrossM))
	p.pitchDeg = (low+high)/2*180/math.Pi + rnd.Between(-0.8, 0.8)
	p.turnDeg, p.rollDeg = rnd.Between(-2.5, 2.5), rnd.Between(-2, 2)
	return distanceM
}

func (p *plan) describe(s scene.TreeSpec) {
	for k, v := range map[string]any{
		"form": s.Form.String(), "height_m": round(s.HeightM), "base_m": round(s.BaseM), "along_m": round(s.AlongM),
		"across_m": round(s.AcrossM), "leaf_area_m2": round(s.LeafAreaM2), "lean_along_m": round(s.LeanAlongM),
		"lean_across_m": round(s.LeanAcrossM), "hollow": round(s.Hollow), "windows": len(s.Windows),
		"leaf_scale": round(s.LeafScale), "cluster_m": round(s.ClusterM),
	} {
		p.design[k] = v
	}
}
