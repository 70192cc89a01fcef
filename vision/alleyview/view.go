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
	cell   []uint16 // each pixel's cell in the histogram of colour
	lum    []uint16 // and the thousandths of its luminance
	light  float64  // View.Light
}

// Reduce makes the copy that Look works on.
func Reduce(p *vision.Photo) Copy {
	factor := max(1, int(math.Ceil(math.Max(float64(p.W), float64(p.H))/workLongPx)))
	lin := vision.LinearPhoto(p, factor)
	cell, lum := colourBins().Of(lin)
	return Copy{lin, factor, cell, lum, exceededBy(20, lum, nil)}
}

// exceededBy is the luminance that one in so many pixels exceeds, of those above the
// horizon or, without zones, of all; 0 where there are none.
func exceededBy(oneIn int, lum []uint16, z []zone) float64 {
	const bins = 1000
	var hist [bins + 1]int
	n := 0
	for i, l := range lum {
		if z == nil || z[i] == above {
			hist[min(l, bins)]++
			n++
		}
	}
	seen, most := 0, n/oneIn
	for b := bins; b > 0; b-- {
		if seen += hist[b]; seen > most {
			return float64(b) / bins
		}
	}
	return 0
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

// View is a photo whose pixels can be classed, reduced by a whole factor. Of half a
// million pixels some ten thousand are asked for: each is classed when it is.
type View struct {
	W, H   int
	Factor int
	// Light is the 95th percentile of linear luminance, 0..1.
	Light float64
	// Separation is how well canopy and floor are told apart by colour, 0..1: the
	// share of seed pixels whose colour votes for their own class, twice over,
	// less 1.
	Separation float64
	zones      []zone
	cell       []uint16
	vote       []float32 // ln(canopy : floor) of each cell; nil where nothing is known
	lin        *vision.Linear
	plate      *vision.RowSums // of lin, from the rows on that were asked for
	firstRow   int             // the first row that may show ground
	underRow   int             // from this row on all lies surely below the horizon
}

// AtPhoto returns the class at a pixel of the photo; ok is false outside.
func (v *View) AtPhoto(p calibrate.Pixel) (c Class, ok bool) {
	x, y, ok := v.place(p)
	if !ok {
		return Sky, false
	}
	return v.class(x, y), true
}

// place is the working pixel that a pixel of the photo lies in; ok is false outside.
func (v *View) place(p calibrate.Pixel) (x, y int, ok bool) {
	f := float64(v.Factor)
	wx, wy := math.Floor((p.X+0.5)/f), math.Floor((p.Y+0.5)/f)
	if !(wx >= 0 && wy >= 0 && wx < float64(v.W) && wy < float64(v.H)) {
		return 0, 0, false
	}
	return int(wx), int(wy), true
}

// photoPixel is the middle of working pixel (x, y) in the photo.
func (v *View) photoPixel(x, y int) calibrate.Pixel {
	f := float64(v.Factor)
	return calibrate.Pixel{X: (float64(x)+0.5)*f - 0.5, Y: (float64(y)+0.5)*f - 0.5}
}

// Look learns what tells the classes of a photo's pixels.
func (c Copy) Look(h Hints) *View {
	v := &View{W: c.lin.W, H: c.lin.H, Factor: c.factor, Light: c.light, cell: c.cell, lin: c.lin}
	v.layZones(h)
	over := v.zones[:v.underRow*v.W]
	v.findSky(over, exceededBy(10, c.lum[:len(over)], over))
	v.learnFloor()
	return v
}

// class is what a working pixel shows.
func (v *View) class(x, y int) Class {
	switch z := v.zones[y*v.W+x]; {
	case z == sheet:
		return Board
	case z == aboveSky, z == nearSky:
		return Sky
	case z == above, z != seed && v.odds(x, y) > 0:
		return Canopy
	}
	return Floor
}

// odds is ln(canopy : floor) of a working pixel by its colour and its neighbours'; 0
// where nothing is known. Votes are pooled over 3 x 3 px, under a leaf's width.
func (v *View) odds(x, y int) float32 {
	if v.vote == nil {
		return 0
	}
	var sum float32
	n := 0
	for yy := max(0, y-1); yy <= min(v.H-1, y+1); yy++ {
		for i, end := yy*v.W+max(0, x-1), yy*v.W+min(v.W-1, x+1); i <= end; i++ {
			if z := v.zones[i]; z != above && z != aboveSky && z != sheet {
				sum += v.vote[v.cell[i]]
			}
			n++
		}
	}
	return sum / float32(n)
}
