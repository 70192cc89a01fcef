package main

import (
	"math"

	"rowlight/internal/scene"
)

// plan is one photo drawn up: everything but its pixels.
type plan struct {
	kind, stem string
	trees      []*scene.Tree
	target     int // index of the tree the photo is of; -1 for none
	ground     scene.Ground
	boards     []scene.Board
	light      light
	film       film
	look       look
	headingDeg float64 // where the photographer looks, over the ground
	eye        scene.Vec3
	pitchDeg   float64 // up
	turnDeg    float64 // beside the heading, clockwise
	rollDeg    float64
	boardM     float64 // alley: from the camera to the board, along the alley
	design     map[string]any
	edge       []int // alley: boards at the foliage, left and right
}

// at is a place by metres to the right of and ahead of the origin, on the ground.
func (p *plan) at(right, ahead float64) scene.Vec3 {
	v := scene.Heading(p.headingDeg + 90).Scale(right).Add(scene.Heading(p.headingDeg).Scale(ahead))
	return p.ground.On(v)
}

// camera is the plan's camera.
func (p *plan) camera() scene.Camera {
	ahead := scene.Heading(p.headingDeg + p.turnDeg).Scale(math.Cos(p.pitchDeg * math.Pi / 180))
	ahead.Z = math.Sin(p.pitchDeg * math.Pi / 180)
	c := scene.Aim(p.eye, p.eye.Add(ahead), p.rollDeg, p.film.width, p.film.height)
	long := float64(max(p.film.width, p.film.height))
	c.FocalPx = long * float64(p.film.focal35) / 36
	c.K1, c.K2 = p.film.k1, p.film.k2
	return c
}

// stepAside moves the photographer for the second photo of a pair.
func (p *plan) stepAside(rnd *scene.Rand) {
	step := rnd.Between(0.4, 1.0)
	if rnd.Float() < 0.5 {
		step = -step
	}
	side := scene.Heading(p.headingDeg + 90).Scale(step)
	drift := scene.Heading(p.headingDeg).Scale(rnd.Between(-0.12, 0.12))
	up := p.eye.Z - p.ground.HeightM(p.eye.X, p.eye.Y)
	p.eye = p.ground.On(p.eye.Add(side).Add(drift))
	p.eye.Z += up + rnd.Between(-0.04, 0.04)
	p.pitchDeg += rnd.Between(-0.8, 0.8)
	p.rollDeg += rnd.Between(-1, 1)
	p.turnDeg += rnd.Between(-1.5, 1.5) - 0.4*math.Copysign(1, step)
	p.design["step_m"] = round(step)
}

// ways picks one of some choices.
func ways[T any](rnd *scene.Rand, of ...T) T { return of[int(rnd.Float()*float64(len(of)))] }

// chance is true with a probability.
func chance(rnd *scene.Rand, p float64) bool { return rnd.Float() < p }

// round keeps a drawn parameter readable.
func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }
