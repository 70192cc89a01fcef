package main

import (
	"math"

	"rowlight/internal/scene"
)

// drawTree draws a tree's shape. Place, row and seed are set by whoever plants it.
func drawTree(rnd *scene.Rand, lowM, highM float64) scene.TreeSpec {
	h := rnd.Between(lowM, highM)
	s := scene.TreeSpec{
		HeightM: h, BaseM: rnd.Between(0.15, 0.9), Seed: rnd.Uint64(),
		Form:      ways(rnd, scene.Round, scene.Hedge, scene.Shoulder, scene.Cone, scene.Column, scene.FlatTop, scene.Vase),
		LeafScale: rnd.Between(0.75, 1.3), ClusterM: rnd.Between(0.18, 0.34),
	}
	s.AlongM = min(2.7, rnd.Between(0.24, 0.42)*h)
	switch s.Form {
	case scene.Column:
		s.AlongM *= 0.75
	case scene.Vase:
		s.Hollow = rnd.Between(0.3, 0.65)
	}
	s.AcrossM = min(2.6, s.AlongM*rnd.Between(0.75, 1.2))
	if chance(rnd, 0.2) { // lifted skirts
		s.BaseM = rnd.Between(0.9, min(1.6, 0.35*h))
	}
	if chance(rnd, 0.3) {
		s.LeanAlongM, s.LeanAcrossM = rnd.Between(-0.12, 0.12)*h, rnd.Between(-0.08, 0.08)*h
	}
	for range int(rnd.Between(0, 2.2)) {
		s.Windows = append(s.Windows, scene.Window{Along: rnd.Between(-0.8, 0.8), Across: rnd.Between(-0.5, 0.5),
			Up: rnd.Between(0.1, 0.95), RadiusM: rnd.Between(0.35, 0.75)})
	}
	s.LeafAreaM2 = leafIndex(rnd) * math.Pi * s.AlongM * s.AcrossM
	return s
}

// leafIndex is leaf area over the crown's ground area: thin and dense trees.
func leafIndex(rnd *scene.Rand) float64 { return rnd.Between(1.2, 4.6) }

// alike draws a neighbour of a tree: the same orchard, another plant.
func alike(rnd *scene.Rand, s scene.TreeSpec, coarse float64) scene.TreeSpec {
	s.HeightM *= rnd.Between(0.86, 1.14)
	s.AlongM *= rnd.Between(0.9, 1.1)
	s.AcrossM *= rnd.Between(0.92, 1.08)
	s.BaseM *= rnd.Between(0.8, 1.2)
	s.LeanAlongM, s.Windows, s.Seed, s.Coarse = 0, nil, rnd.Uint64(), coarse
	return s
}

// plant grows a tree at a place.
func (p *plan) plant(s scene.TreeSpec, right, ahead, rowAzimuthDeg float64) *scene.Tree {
	at := p.at(right, ahead)
	s.At, s.RowAzimuthDeg = scene.Vec3{X: at.X, Y: at.Y}, rowAzimuthDeg
	t := scene.Grow(s)
	p.trees = append(p.trees, t)
	return t
}

// drawGround draws what lies on the ground; floors of one cover or several.
func drawGround(rnd *scene.Rand) scene.Ground {
	g := scene.Ground{Floor: ways(rnd, scene.Litter, scene.Grass, scene.Orchard, scene.Soil, scene.Mulch)}
	k := math.Exp(0.25 * rnd.Normal())
	g.Tint = scene.RGB{float32(k * rnd.Between(0.9, 1.15)), float32(k), float32(k * rnd.Between(0.8, 1.15))}
	if chance(rnd, 0.3) {
		g.Wet = rnd.Between(0.1, 0.5)
	}
	if chance(rnd, 0.35) {
		g.Weeds = rnd.Between(0.05, 0.4)
	}
	return g
}

// drawSlope tilts the ground by up to 5 degrees some way.
func drawSlope(rnd *scene.Rand, g *scene.Ground) (deg float64) {
	if !chance(rnd, 0.45) {
		return 0
	}
	deg = rnd.Between(1, 5)
	up := scene.Heading(rnd.Between(0, 360)).Scale(math.Tan(deg * math.Pi / 180))
	g.SlopeEast, g.SlopeNorth = up.X, up.Y
	return deg
}
