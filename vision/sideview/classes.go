// Package sideview tells the pixels of a tree seen from its side apart: sky,
// foliage, wood, ground, board. It knows pixels and no metres, and says nothing
// of which tree a leaf belongs to: that needs geometry (package metrics).
package sideview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// Class is what a pixel shows.
type Class uint8

// The classes.
const (
	Sky Class = iota
	Foliage
	Wood
	Ground
	Board
)

// workLongPx bounds the longer side of the copy that is classed: a pixel is
// about 1 cm at 6 to 8 m then, a tenth of a leaf's length. Finer costs time and
// moves nothing.
const workLongPx = 1600

// Hints are the lines that geometry draws across the photo, in the photo's own
// pixels: where level ground ends and where the row's plane stands on it.
type Hints struct {
	// HorizonY returns the row of the level line at column x; pixels below it
	// cannot be sky.
	HorizonY func(x float64) float64
	// FootY returns the row where the ground meets the row's plane at column x;
	// pixels below it are ground, board or trunk, never the tree's leaves.
	FootY func(x float64) float64
	// Sheet is the board's outline, clockwise from its top left.
	Sheet [4]calibrate.Pixel
}

// View is a classed copy of a photo, reduced by a whole factor.
type View struct {
	W, H   int
	Factor int
	Class  []Class // row by row
	// SkySeed is the share of the pixels above the horizon that are open sky
	// beyond doubt: smooth and not green. 0 means that no sky model could be had.
	SkySeed float64
	// Light is the 95th percentile of linear luminance, 0..1.
	Light float64
	// FoliageGround is how well leaf and ground could be told apart by colour:
	// the distance of their means over the pooled spread (d'). 0 where one of
	// them is not in the picture.
	FoliageGround float64
}

// AtPhoto returns the class at a pixel of the photo; ok is false outside.
func (v *View) AtPhoto(p calibrate.Pixel) (c Class, ok bool) {
	f := float64(v.Factor)
	x, y := int(math.Floor((p.X+0.5)/f)), int(math.Floor((p.Y+0.5)/f))
	if x < 0 || y < 0 || x >= v.W || y >= v.H {
		return Sky, false
	}
	return v.Class[y*v.W+x], true
}

// Look classes every pixel of a photo.
func Look(p *vision.Photo, h Hints) *View {
	factor := int(math.Ceil(math.Max(float64(p.W), float64(p.H)) / workLongPx))
	factor = max(1, factor)
	lin := vision.LinearPhoto(p, factor)
	v := &View{W: lin.W, H: lin.H, Factor: factor, Class: make([]Class, lin.W*lin.H)}
	v.Light = lin.Percentile95()
	z := zonesOf(v, h)
	sky, seeds := findSky(lin, z)
	v.SkySeed = seeds
	t := measureTints(lin)
	split := learnSplit(t, sky, z)
	v.FoliageGround = split.dPrime
	for i := range v.Class {
		v.Class[i] = classOf(i, sky, z, t, &split)
	}
	return v
}

// zone is where geometry puts a pixel.
type zone uint8

const (
	above  zone = iota // above the horizon
	middle             // between the horizon and the foot of the row's plane
	below              // nearer than the row
	sheet              // on the board
)

func zonesOf(v *View, h Hints) []zone {
	z := make([]zone, v.W*v.H)
	f := float64(v.Factor)
	px, horizon, foot := make([]float64, v.W), make([]float64, v.W), make([]float64, v.W)
	for x := range v.W {
		px[x] = (float64(x)+0.5)*f - 0.5
		horizon[x], foot[x] = h.HorizonY(px[x]), h.FootY(px[x])
	}
	board := vision.NewOutline(h.Sheet[:])
	low, high := rowsOf(h.Sheet, 2*f)
	for y := range v.H {
		py, row := (float64(y)+0.5)*f-0.5, z[y*v.W:(y+1)*v.W]
		for x := range row {
			switch {
			case py > low && py < high && board.Holds(calibrate.Pixel{X: px[x], Y: py}, f):
				row[x] = sheet
			case py >= foot[x]:
				row[x] = below
			case py >= horizon[x]:
				row[x] = middle
			}
		}
	}
	return z
}

// rowsOf is what lies within marginPx of a sheet's rows.
func rowsOf(sheet [4]calibrate.Pixel, marginPx float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range sheet {
		low, high = math.Min(low, c.Y-marginPx), math.Max(high, c.Y+marginPx)
	}
	return low, high
}

func classOf(i int, sky []bool, z []zone, t *tints, s *split) Class {
	switch {
	case z[i] == sheet:
		return Board
	case sky[i]:
		return Sky
	case s.isWood(t, i, z[i]):
		return Wood
	case z[i] == above:
		return Foliage
	case z[i] == middle && s.isFoliage(t.rg[i], t.bg[i]):
		return Foliage
	}
	return Ground
}
