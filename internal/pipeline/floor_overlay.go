package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/overlay"
	"rowlight/metrics"
)

const (
	sunInk, leftOutInk = 0.55, 0.5
	// hatchPx is the period of the hatching over what was left out, in reduced
	// pixels (25 mm on the floor).
	hatchPx   = 10
	ringSteps = 120
	lineWidth = 3.0
)

// draw shows on the photo what counted as sun, what was left out, the ring, the
// board and the figure.
func (f *floorScene) draw(e metrics.Estimate, s metrics.FloorShares) *overlay.Canvas {
	p := f.shot.Photo
	c := overlay.New(p.W, p.H, p.Pix)
	c.Tint(overlay.Orange, func(x, y int) float64 { return sunInk * f.sunAtPixel(x, y, e) })
	c.Tint(overlay.Purple, func(x, y int) float64 {
		i, ok := f.ringPixel(x, y)
		if !ok || !f.view.Other.In[i] || (x+y)/f.factor%hatchPx > hatchPx/2 {
			return 0
		}
		return leftOutInk
	})
	sheet := f.quad(0, 0, calibrate.SheetWidthMM, calibrate.SheetHeightMM)
	c.Path(sheet[:], true, overlay.SkyBlue, lineWidth)
	f.drawRing(c)
	line := fmt.Sprintf("%.0f %% of the floor in the sun (%.0f to %.0f), %.1f m2 judged", 100*e.Value, 100*e.Low95, 100*e.High95, s.AreaM2)
	if err := c.Text(calibrate.Pixel{X: 0, Y: float64(p.H)}, line, overlay.White); err != nil {
		return c // the drawing stands without its caption
	}
	return c
}

// ringPixel is the index of a photo pixel in the reduced copy; ok within the ring.
func (f *floorScene) ringPixel(x, y int) (i int, ok bool) {
	sx, sy := x/f.factor, y/f.factor
	if sx < 0 || sy < 0 || sx >= f.view.W || sy >= f.view.H {
		return 0, false
	}
	i = sy*f.view.W + sx
	return i, f.areaM2[i] > 0
}

func (f *floorScene) sunAtPixel(x, y int, e metrics.Estimate) float64 {
	i, ok := f.ringPixel(x, y)
	switch {
	case !ok || !f.view.Floor.In[i]:
		return 0
	case f.view.TwoLights:
		return float64(f.view.Fraction.V[i])
	}
	return e.Value
}

// drawRing draws the ring on the ground, where it lies before the camera.
func (f *floorScene) drawRing(c *overlay.Canvas) {
	mid := calibrate.SheetCentre()
	at := func(k int) (calibrate.Pixel, bool) {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / ringSteps)
		r := f.radiusM / f.scale
		return f.pose.Project(mid.Add(calibrate.Vec3{r * cos, r * sin, 0}))
	}
	for k := range ringSteps {
		a, okA := at(k)
		b, okB := at(k + 1)
		if okA && okB {
			c.Line(a, b, overlay.White, lineWidth)
		}
	}
}
