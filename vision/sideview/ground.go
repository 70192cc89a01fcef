package sideview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// groundLooks to each side of a place are averaged, in three rows: litter and blades of
	// grass even out.
	groundLooks = 3
	// openShare of the sheet's height (7 cm) of ground under leaves and wood says that they
	// end there, and what is leaf or wood by its colour farther down is ground in the shade.
	openShare = 0.25
	// darkGreen keeps the logarithm finite: an 8-bit code's half step.
	darkGreen = 1e-4
)

// OpenGround is the ground of a side photo, where nothing hides it.
type OpenGround struct {
	photo *vision.Photo
	view  *View
	open  []int // the row of each column from which it lies open
	light [256]float64
}

// FindOpenGround finds where the ground lies open: under what hangs down from the level line.
func FindOpenGround(p *vision.Photo, v *View, h Hints) *OpenGround {
	g := &OpenGround{photo: p, view: v, open: make([]int, v.W), light: vision.LinearCodes()}
	f := float64(v.Factor)
	run := max(2, int(openShare*(h.Sheet[3].Y-h.Sheet[0].Y)/f))
	for x := range g.open {
		g.open[x] = v.H
		n := 0
		for y := max(0, int(math.Ceil((h.HorizonY((float64(x)+0.5)*f-0.5)+0.5)/f))); y < v.H; y++ {
			if v.Class[y*v.W+x] != vision.SideGround {
				n = 0
			} else if n++; n == run {
				g.open[x] = y + 1 - run
				break
			}
		}
	}
	return g
}

// shows tells whether column i and row j of the view show open ground.
func (g *OpenGround) shows(i, j int) bool {
	v := g.view
	return i < v.W && j < v.H && j >= g.open[i] && v.Class[j*v.W+i] != vision.SideBoard
}

// Light is the ln of green light of the ground, averaged over halfPx to each side of a
// pixel of the photo, in sun or shade; ok is false where the ground is hidden.
func (g *OpenGround) Light(p calibrate.Pixel, halfPx float64) (ln float64, ok bool) {
	f := g.view.Factor
	x, y := int(math.Floor(p.X+0.5)), int(math.Floor(p.Y+0.5))
	if x < 0 || y < 0 || !g.shows(x/f, y/f) {
		return 0, false
	}
	step := max(1, int(halfPx/groundLooks))
	var sum, n float64
	for d := -groundLooks; d <= groundLooks; d++ {
		at := x + d*step
		if at < 0 {
			continue
		}
		i := at / f
		for up := -1; up <= 1; up++ { // of the view's rows, and as many photo's
			if j := y + up*f; j >= 0 && g.shows(i, y/f+up) {
				sum += g.light[g.photo.Pix[3*(j*g.photo.W+at)+1]]
				n++
			}
		}
	}
	return math.Log(math.Max(sum/n, darkGreen)), true
}
