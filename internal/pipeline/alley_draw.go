package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision"
)

const (
	// gridNearM and gridFarM are the stretch of floor that the grid shows.
	gridNearM, gridFarM, gridAsideM = 2.0, 12.0, 2.0
	// faceDrawM is how high the face lines stand above the floor: low, so that
	// they lie where the walls meet the open floor.
	faceDrawM = 0.0
)

// draw lays grid, faces, width and boards over the photo.
func (c *alleyScene) draw(p *vision.Photo, a *metrics.Alley, pair *edgePair) *overlay.Canvas {
	o := overlay.New(p.W, p.H, p.Pix)
	c.drawGrid(o)
	for _, b := range c.boards {
		var sheet []calibrate.Pixel
		for _, q := range calibrate.SheetCorners() {
			px, _ := b.Project(q)
			sheet = append(sheet, px)
		}
		o.Path(sheet, true, overlay.Yellow, 2)
	}
	var e metrics.Estimate
	var from, to calibrate.Pixel
	switch {
	case pair != nil:
		e, from, to = pair.width, pair.outer[0], pair.outer[1]
	case a != nil:
		e = a.ClearAt(c.boardYM)
		from, _ = c.facePixel(a, false, c.boardYM, c.cameraM/2)
		to, _ = c.facePixel(a, true, c.boardYM, c.cameraM/2)
	}
	if a != nil {
		c.drawFaces(o, a)
	}
	o.Line(from, to, overlay.Red, 3)
	words := fmt.Sprintf("%.2f m clear (%.2f to %.2f) %.1f m ahead", e.Value, e.Low95, e.High95, c.boardYM)
	at := calibrate.Pixel{X: (from.X+to.X)/2 - float64(p.W)/6, Y: math.Min(from.Y, to.Y) - float64(p.H)/60}
	if err := o.Text(at, words, overlay.White); err != nil {
		return o // the lines say it too
	}
	return o
}

func (c *alleyScene) drawGrid(o *overlay.Canvas) {
	line := func(x0, y0, x1, y1 float64) {
		from, ok1 := c.pixel(c.boardXM+x0, y0, 0)
		to, ok2 := c.pixel(c.boardXM+x1, y1, 0)
		if ok1 && ok2 {
			o.Line(from, to, overlay.SkyBlue, 1)
		}
	}
	for y := gridNearM; y <= gridFarM; y++ {
		line(-gridAsideM, y, gridAsideM, y)
	}
	for x := -gridAsideM; x <= gridAsideM; x++ {
		line(x, gridNearM, x, gridFarM)
	}
}

// drawFaces draws each wall's face along the floor, and upright at the board.
func (c *alleyScene) drawFaces(o *overlay.Canvas, a *metrics.Alley) {
	for _, right := range [2]bool{false, true} {
		var path []calibrate.Pixel
		for y := 3.0; y <= gridFarM; y += 0.5 {
			if px, ok := c.facePixel(a, right, y, faceDrawM); ok {
				path = append(path, px)
			}
		}
		o.Path(path, false, overlay.Orange, 3)
		foot, ok1 := c.facePixel(a, right, c.boardYM, 0)
		top, ok2 := c.facePixel(a, right, c.boardYM, 1.5*c.cameraM)
		if ok1 && ok2 {
			o.Line(foot, top, overlay.Orange, 3)
		}
	}
}

func (c *alleyScene) facePixel(a *metrics.Alley, right bool, yM, zM float64) (calibrate.Pixel, bool) {
	return c.pixel(a.FaceRightM(right, yM), yM, zM)
}
