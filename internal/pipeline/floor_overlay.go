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
	sun, other := f.inks(e)
	c.TintBy(overlay.Orange, sun)
	c.TintBy(overlay.Purple, other)
	sheet := f.quad(0, 0, calibrate.SheetWidthMM, calibrate.SheetHeightMM)
	c.Path(sheet[:], true, overlay.SkyBlue, lineWidth)
	f.drawRing(c)
	line := fmt.Sprintf("%.0f %% of the floor in the sun (%.0f to %.0f), %.1f m2 judged", 100*e.Value, 100*e.Low95, 100*e.High95, s.AreaM2)
	if err := c.Text(calibrate.Pixel{X: 0, Y: float64(p.H)}, line, overlay.White); err != nil {
		return c // the drawing stands without its caption
	}
	return c
}

// inks are what the ring's sun and what was left out there take, hatched.
func (f *floorScene) inks(e metrics.Estimate) (sun, other overlay.Amounts) {
	grid := func() overlay.Amounts {
		return overlay.Amounts{W: f.view.W, H: f.view.H, Factor: f.factor, V: make([]float32, f.view.W*f.view.H)}
	}
	sun, other = grid(), grid()
	for i, area := range f.ground.AreaM2 {
		switch {
		case area == 0:
		case f.view.Floor.In[i] && f.view.TwoLights:
			sun.V[i] = sunInk * f.view.Fraction.V[i]
		case f.view.Floor.In[i]:
			sun.V[i] = float32(sunInk * e.Value)
		case f.view.Other.In[i] && (i%f.view.W+i/f.view.W)%hatchPx <= hatchPx/2:
			other.V[i] = leftOutInk
		}
	}
	return sun, other
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
