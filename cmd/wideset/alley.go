package main

import (
	"math"

	"rowlight/internal/scene"
)

// Alleys run from behind the photographer to where leaves are a pixel or two.
const (
	alleyFromM, alleyToM = -2.5, 24.0
	fineToM              = 13.0 // trees up to here are drawn in full
)

// planAlley looks along an alley between two rows, a board on its middle line.
func planAlley(rnd *scene.Rand) *plan {
	p := &plan{target: -1, headingDeg: rnd.Between(0, 360), design: map[string]any{}}
	p.light = drawLight(rnd, 25, 85, 0.25)
	p.film, p.look, p.ground = drawFilm(rnd, 2400, 0.25), drawLook(rnd, p.light), drawGround(rnd)
	if chance(rnd, 0.15) { // toward a low sun
		p.light = drawLight(rnd, 18, 35, 0)
		p.headingDeg = p.light.sun.AzimuthDeg + rnd.Between(-25, 25)
	}
	slope := drawSlope(rnd, &p.ground)
	spec := drawTree(rnd, 2.5, 7)
	spec.LeanAcrossM = 0
	clear := rnd.Between(1.3, 4.6)
	rows := 2*spec.AcrossM + clear
	p.design = map[string]any{"clear_m": round(clear), "row_spacing_m": round(rows), "slope_deg": round(slope)}
	p.boardM = rnd.Between(3.8, 7.2)
	p.growRows(rnd, spec, rows)
	p.describe(spec)
	up := rnd.Between(1.2, 1.9)
	p.eye = p.at(rnd.Between(-0.25, 0.25), 0)
	p.eye.Z += up
	p.pitchDeg, p.turnDeg, p.rollDeg = rnd.Between(-6, 3), rnd.Between(-3, 3), rnd.Between(-2, 2)
	p.pitchDeg += math.Atan(p.slopeAlong()) * 180 / math.Pi
	p.standBoards(rnd)
	return p
}

// slopeAlong is how much the ground rises a metre ahead.
func (p *plan) slopeAlong() float64 { return p.at(0, 1).Z - p.at(0, 0).Z }

// growRows grows both rows, with a pinch, a bend or a lean at times, and a row
// behind each.
func (p *plan) growRows(rnd *scene.Rand, spec scene.TreeSpec, rows float64) {
	spacing := 2 * spec.AlongM * rnd.Between(0.8, 1.3)
	pinchAt, pinch := math.Inf(1), 0.0
	if chance(rnd, 0.4) {
		pinchAt, pinch = rnd.Between(4, 10), rnd.Between(0.2, 0.6)
	}
	bend := 0.0
	if chance(rnd, 0.2) {
		bend = rnd.Between(-0.5, 0.5)
	}
	lean := rnd.Between(-0.25, 0.25)
	for side := -1.0; side <= 1; side += 2 {
		shift := rnd.Between(0, spacing)
		for y := alleyFromM + shift - spacing; y < alleyToM; y += spacing {
			coarse := 1.0
			if y > fineToM {
				coarse = 1.7
			}
			s := alike(rnd, spec, coarse)
			s.LeanAcrossM = side * lean // a row's azimuth is the heading: across is right
			near := math.Exp(-math.Pow((y-pinchAt)/(0.6*spacing), 2))
			s.AcrossM += pinch * near
			p.plant(s, side*rows/2+rnd.Between(-0.08, 0.08)+bend*math.Sin(y/9), y, p.headingDeg)
			if y > 4 {
				p.plant(alike(rnd, spec, 2), side*1.5*rows, y, p.headingDeg)
			}
		}
	}
	p.design["spacing_m"], p.design["pinch_m"], p.design["bend_m"], p.design["lean_m"] = round(spacing), round(2*pinch), round(bend), round(lean)
	if pinch > 0 {
		p.design["pinch_at_m"] = round(pinchAt)
	}
}

// standBoards puts the board up, and at times one at each foliage edge, its outer
// edge at the innermost leaf.
func (p *plan) standBoards(rnd *scene.Rand) {
	n := p.number(rnd)
	foot := p.at(rnd.Between(-0.15, 0.15), p.boardM)
	p.boards = []scene.Board{scene.UprightBoard(n, foot, p.headingDeg+180).Turned(leans(rnd))}
	if !chance(rnd, 0.3) {
		return
	}
	const halfSheetM, halfSliceM = 0.21, 0.25
	left, right, ok := scene.TreesOnly(p.trees...).Innermost(scene.Vec3{}, p.headingDeg, p.boardM-halfSliceM, p.boardM+halfSliceM)
	if !ok || left+right < 1.9 {
		return // three boards would not stand side by side
	}
	for k, x := range []float64{-left + halfSheetM, right - halfSheetM} {
		number := (n + 1 + k) % scene.BoardNumbers
		p.boards = append(p.boards, scene.UprightBoard(number, p.at(x, p.boardM), p.headingDeg+180))
		p.edge = append(p.edge, number)
	}
}
