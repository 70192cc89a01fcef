// Package alleyview tells what a photo down an alley shows: open sky, canopy
// (leaf and wood), open floor, boards; and finds the point the rows run to and
// the feet of trunks. It knows pixels and no metres.
package alleyview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// Class is what a pixel shows.
type Class uint8

// The classes. Leaf and wood are one: both bound the alley.
const (
	Sky Class = iota
	Canopy
	Floor
	Board
)

// workLongPx bounds the longer side of the copy that is classed. At 6 m a pixel
// is about 1 cm then, a tenth of a leaf; a trunk of 0.15 m at 15 m is 6 px wide.
const workLongPx = 900

// Copy is a photo reduced by a whole factor, in linear light, ready to be looked
// at more than once.
type Copy struct {
	lin    *vision.Linear
	factor int
	cell   []int32   // each pixel's cell in the histogram of colour
	plate  footPlate // for FootScore and FloorLight
	light  float64   // View.Light
}

// Reduce makes the copy that Look works on.
func Reduce(p *vision.Photo) Copy {
	factor := max(1, int(math.Ceil(math.Max(float64(p.W), float64(p.H))/workLongPx)))
	lin := vision.LinearPhoto(p, factor)
	return Copy{lin, factor, colourCells(lin), newFootPlate(lin), lin.Percentile95()}
}

// Hints are what geometry knows before the pixels are looked at, in the photo's
// own pixels.
type Hints struct {
	// HorizonY returns the row of the level line at column x, to within SlackPx.
	HorizonY func(x float64) float64
	SlackPx  float64
	// FloorSeed is a four-sided piece of the alley's floor before the camera,
	// clockwise from its far left: floor beyond doubt.
	FloorSeed [4]calibrate.Pixel
	// Sheets are the boards' outlines, clockwise from their top left.
	Sheets [][4]calibrate.Pixel
}

// View is a classed copy of a photo, reduced by a whole factor.
type View struct {
	W, H   int
	Factor int
	Class  []Class // row by row
	// Odds is ln(canopy : floor) of each pixel by colour; 0 where nothing is known.
	Odds  []float32
	plate footPlate
	// Light is the 95th percentile of linear luminance, 0..1.
	Light float64
	// Separation is how well canopy and floor are told apart by colour, 0..1: the
	// share of seed pixels whose colour votes for their own class, twice over,
	// less 1.
	Separation float64
}

// AtPhoto returns the class at a pixel of the photo; ok is false outside.
func (v *View) AtPhoto(p calibrate.Pixel) (c Class, ok bool) {
	i, ok := v.index(p)
	if !ok {
		return Sky, false
	}
	return v.Class[i], true
}

func (v *View) index(p calibrate.Pixel) (int, bool) {
	f := float64(v.Factor)
	x, y := math.Floor((p.X+0.5)/f), math.Floor((p.Y+0.5)/f)
	if !(x >= 0 && y >= 0 && x < float64(v.W) && y < float64(v.H)) {
		return 0, false
	}
	return int(y)*v.W + int(x), true
}

// photoPixel is the middle of working pixel (x, y) in the photo.
func (v *View) photoPixel(x, y int) calibrate.Pixel {
	f := float64(v.Factor)
	return calibrate.Pixel{X: (float64(x)+0.5)*f - 0.5, Y: (float64(y)+0.5)*f - 0.5}
}

// Look classes every pixel of a photo.
func (c Copy) Look(h Hints) *View {
	lin, factor := c.lin, c.factor
	n := lin.W * lin.H
	v := &View{W: lin.W, H: lin.H, Factor: factor, Class: make([]Class, n), Odds: make([]float32, n)}
	v.Light, v.plate = c.light, c.plate
	z := v.zones(h)
	sky := findSky(lin, z)
	v.learnFloor(c.cell, z, sky)
	for i := range v.Class {
		v.Class[i] = v.classOf(i, z[i], sky[i])
	}
	return v
}

// zone is where geometry puts a pixel.
type zone uint8

const (
	above zone = iota // surely above the horizon
	near              // within the slack of it
	below             // surely below
	seed              // floor beyond doubt
	sheet             // on a board
)

func (v *View) zones(h Hints) []zone {
	z := make([]zone, v.W*v.H)
	horizon := make([]float64, v.W)
	for x := range horizon {
		horizon[x] = h.HorizonY(v.photoPixel(x, 0).X)
	}
	floor, boards := vision.NewOutline(h.FloorSeed[:]), make([]vision.Outline, len(h.Sheets))
	for i, s := range h.Sheets {
		boards[i] = vision.NewOutline(s[:])
	}
	for y := range v.H {
		row := z[y*v.W : (y+1)*v.W]
		for x := range row {
			p := v.photoPixel(x, y)
			switch {
			case onAny(boards, p, float64(v.Factor)):
				row[x] = sheet
			case floor.Holds(p, 0):
				row[x] = seed
			case p.Y > horizon[x]+h.SlackPx:
				row[x] = below
			case p.Y > horizon[x]-h.SlackPx:
				row[x] = near
			}
		}
	}
	return z
}

func onAny(boards []vision.Outline, p calibrate.Pixel, marginPx float64) bool {
	for _, b := range boards {
		if b.Holds(p, marginPx) {
			return true
		}
	}
	return false
}

func (v *View) classOf(i int, z zone, sky bool) Class {
	switch {
	case z == sheet:
		return Board
	case sky:
		return Sky
	case z == above, z != seed && v.Odds[i] > 0:
		return Canopy
	}
	return Floor
}
