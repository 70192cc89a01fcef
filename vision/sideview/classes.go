// Package sideview tells the pixels of a tree seen from its side apart: sky,
// foliage, wood, ground, board. It knows pixels and no metres, and says nothing
// of which tree a leaf belongs to: that needs geometry (package metrics).
package sideview

import (
	"math"
	"sort"

	"rowlight/calibrate"
	"rowlight/vision"
)

// Class is what a pixel shows.
type Class = vision.SideClass

// The classes.
const (
	Sky     = vision.SideSky
	Foliage = vision.SideFoliage
	Wood    = vision.SideWood
	Ground  = vision.SideGround
	Board   = vision.SideBoard
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

// Unseen stands for the class of what lies outside a photo.
const Unseen Class = 255

// AtPhoto returns the class at a pixel of the photo; ok is false outside.
func (v *View) AtPhoto(p calibrate.Pixel) (c Class, ok bool) {
	var one [1]Class
	if v.AtPhotos([]calibrate.Pixel{p}, one[:]); one[0] == Unseen {
		return Sky, false
	}
	return one[0], true
}

// AtPhotos fills out with the classes at pixels of the photo, Unseen outside.
func (v *View) AtPhotos(px []calibrate.Pixel, out []Class) {
	f, w, h := float64(v.Factor), float64(v.W), float64(v.H)
	for i, p := range px {
		x, y := (p.X+0.5)/f, (p.Y+0.5)/f
		if out[i] = Unseen; x >= 0 && y >= 0 && x < w && y < h {
			out[i] = v.Class[int(y)*v.W+int(x)]
		}
	}
}

// Along fills out with what stands for the classes (Unseen outside) at evenly spaced points
// before a camera whose lens does not distort, the first and the step in its frame.
func Along[K ~uint8](v *View, cam calibrate.Camera, first, step calibrate.Vec3, as *[int(Unseen) + 1]K, out []K) {
	vision.ClassesSeen(v.Class, v.W, v.Factor, cam, first, step, as, out)
}

// Look classes every pixel of a photo.
func Look(p *vision.Photo, h Hints) *View {
	factor := int(math.Ceil(math.Max(float64(p.W), float64(p.H)) / workLongPx))
	factor = max(1, factor)
	lin := vision.LinearPhoto(p, factor)
	v := &View{W: lin.W, H: lin.H, Factor: factor, Class: make([]Class, lin.W*lin.H)}
	v.Light = lin.Percentile95()
	z := zonesOf(v, h)
	v.SkySeed = findSky(lin, z, v.Class)
	t := vision.NewTints(lin, tintHalfPx, tintFloor, z, grey(), v.Class)
	split := learnSplit(t, v.Class, z)
	v.FoliageGround = split.dPrime
	t.Classes(z, split.asked(), v.Class)
	return v
}

// zonesOf is where geometry puts each pixel.
func zonesOf(v *View, h Hints) []vision.Zone {
	f := float64(v.Factor)
	at := func(n int) float64 { return (float64(n)+0.5)*f - 0.5 } // in the photo's pixels
	foot, horizon := make([]int16, v.W), make([]int16, v.W)
	for x := range v.W {
		horizonY, footY := h.HorizonY(at(x)), h.FootY(at(x))
		foot[x] = int16(sort.Search(v.H, func(y int) bool { return at(y) >= footY }))
		horizon[x] = min(foot[x], int16(sort.Search(v.H, func(y int) bool { return at(y) >= horizonY })))
	}
	z := vision.Bands(horizon, foot, v.H)
	board := vision.NewOutline(h.Sheet[:])
	low, high := rowsOf(h.Sheet, 2*f)
	for y := range v.H {
		if at(y) <= low || at(y) >= high {
			continue
		}
		for x := range v.W {
			if board.Holds(calibrate.Pixel{X: at(x), Y: at(y)}, f) {
				z[y*v.W+x] = vision.ZoneSheet
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
