package alleyview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// zone is where geometry puts a pixel, and whether it is sky there.
type zone = uint8

const (
	above    zone = iota // surely above the horizon
	near                 // within the slack of it
	below                // surely below
	seed                 // floor beyond doubt
	sheet                // on a board
	aboveSky             // open sky: above + 5
	nearSky              // near + 5
	zoneCount
)

// layZones puts each pixel into its zone by geometry.
func (v *View) layZones(h Hints) {
	from, to := make([]int16, v.W), make([]int16, v.W)
	v.firstRow, v.underRow = v.H, 0
	for x := range v.W {
		y := h.HorizonY(v.photoPixel(x, 0).X)
		from[x], to[x] = v.firstUnder(y-h.SlackPx), v.firstUnder(y+h.SlackPx)
		v.firstRow, v.underRow = min(v.firstRow, int(from[x])), max(v.underRow, int(to[x]))
	}
	v.zones = vision.Bands(from, to, v.H)
	v.fill(h.FloorSeed[:], 0, seed)
	for _, s := range h.Sheets {
		v.fill(s[:], float64(v.Factor), sheet)
	}
}

// firstUnder is the first row whose pixels' middles lie under a row of the photo.
func (v *View) firstUnder(photoY float64) int16 {
	under := func(y int) bool { return v.photoPixel(0, y).Y > photoY }
	guess := (photoY+0.5)/float64(v.Factor) - 0.5
	y := int(math.Max(0, math.Min(float64(v.H), math.Ceil(guess))))
	for y > 0 && under(y-1) {
		y--
	}
	for y < v.H && !under(y) {
		y++
	}
	return int16(y)
}

// fill puts all pixels of a convex shape, or within marginPx of it, into a zone.
func (v *View) fill(corners []calibrate.Pixel, marginPx float64, z zone) {
	shape := vision.NewOutline(corners)
	for y := range v.H {
		holds := func(x int) bool { return shape.Holds(v.photoPixel(x, y), marginPx) }
		fromPx, toPx := shape.Across(v.photoPixel(0, y).Y, marginPx)
		from, to := v.column(fromPx), v.column(toPx)
		// Rounding may put either end a pixel off.
		from, to = max(0, from-1), min(v.W-1, to+1)
		for from <= to && !holds(from) {
			from++
		}
		for to >= from && !holds(to) {
			to--
		}
		for i := y*v.W + from; i <= y*v.W+to; i++ {
			v.zones[i] = z
		}
	}
}

// column is the working column that a place of the photo lies in or next to.
func (v *View) column(x float64) int {
	return int(math.Max(-2, math.Min(float64(v.W)+1, math.Floor((x+0.5)/float64(v.Factor)))))
}
