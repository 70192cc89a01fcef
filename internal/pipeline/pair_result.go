package pipeline

import (
	"fmt"
	"image/color"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/alleyview"
)

// PairMethod is the method of a number that two photos gave together.
const PairMethod = "pair of photos"

// alleyPair is an alley measured from two photos.
type alleyPair struct {
	scene *alleyScene
	view  *alleyview.View
	look  *pairLook
	faces *metrics.PairFaces
}

// result lists the widths: at the board, along the alley, the narrowest.
func (a *alleyPair) result(first Shot) ShotResult {
	r := alleyResult{scale: printScale(first)}
	if a.faces.SeenAtBoard() {
		r.add(orchard.ClearWidthM, nil, a.wide(a.faces.ClearAtBoard(), a.scene.boardYM), PairMethod)
	} else {
		r.out.Measurements = append(r.out.Measurements, orchard.Measurement{
			Quantity: orchard.ClearWidthM, Unit: "m", Method: PairMethod, Absent: "no leaf beside the board was found in both photos, on either side",
		})
	}
	for _, w := range a.faces.Profile() {
		at := w.AheadM * r.scale
		r.add(orchard.ClearWidthAtM, &at, a.wide(w.Width, w.AheadM), PairMethod)
	}
	for band, q := range [...]orchard.Quantity{orchard.ClearWidthLowAtM, orchard.ClearWidthMiddleAtM, orchard.ClearWidthHighAtM} {
		profile, ok := a.faces.BandProfile(band)
		for _, w := range profile {
			at := w.AheadM * r.scale
			r.add(q, &at, a.wide(w.Width, w.AheadM), PairMethod)
		}
		if !ok {
			r.out.Flags = append(r.out.Flags, fmt.Sprintf("too few leaves between %d and %d m high were found in both photos to say how wide the alley is there", band, band+1))
		}
	}
	narrow, at := a.faces.Narrowest()
	r.add(orchard.NarrowestM, nil, a.wide(narrow, at.Value), PairMethod)
	r.addPinch(a.deep(at), PairMethod)
	if !first.NumbersOnly {
		r.out.Overlay = a.draw(first.Photo)
	}
	return r.out
}

// wide adds to a width what the pair's pose leaves open at that distance: the two
// faces' points are followed from their pixels in both photos under every error of
// the pose.
func (a *alleyPair) wide(e metrics.Estimate, aheadM float64) metrics.Estimate {
	var px [2][2]calibrate.Pixel
	for k, right := range [2]bool{false, true} {
		p := a.scene.point(a.faceRightM(right, aheadM), aheadM, a.scene.cameraM)
		var ok bool
		if px[k][0], px[k][1], ok = a.look.pose.Project(p); !ok {
			return e
		}
	}
	return e.WithPart(a.look.pose.Breakdown(func(p *calibrate.PairPose) float64 {
		l, ok1 := p.Triangulate(px[0][0], px[0][1])
		r, ok2 := p.Triangulate(px[1][0], px[1][1])
		if !ok1 || !ok2 {
			return math.NaN()
		}
		return r.Sub(l).Dot(a.scene.right)
	})...)
}

// deep adds to a distance ahead what the focal length leaves open, which stretches
// all of them.
func (a *alleyPair) deep(e metrics.Estimate) metrics.Estimate {
	sd := math.Sqrt(a.look.pose.Cov[focalRow][focalRow])
	return e.WithPart(calibrate.Part{Name: calibrate.PartFocal, SD: e.Value * sd})
}

// focalRow is ln focal's place in PairPose.Cov.
const focalRow = 12

// point is a place of the alley in the camera's frame.
func (c *alleyScene) point(xM, yM, zM float64) calibrate.Vec3 {
	return c.right.Scale(xM).Add(c.ahead.Scale(yM)).Add(c.up.Scale(zM - c.cameraM))
}

func (a *alleyPair) faceRightM(right bool, aheadM float64) float64 {
	if right {
		return a.scene.boardXM + a.faces.FaceM(true, aheadM)
	}
	return a.scene.boardXM - a.faces.FaceM(false, aheadM)
}

const (
	// Sights drawn: every so many, as dots coloured by how far off they end.
	dotStep           = 6
	dotNearM, dotFarM = 3.0, 12.0
	dotPx             = 3.0
	dotLowM           = 0.25 // lower is ground
)

// draw lays what was matched, the grid and the faces over the first photo.
func (a *alleyPair) draw(p *vision.Photo) *overlay.Canvas {
	o := overlay.New(p.W, p.H, p.Pix)
	c := a.scene
	for y := 0; y < a.look.disp.H; y += dotStep {
		for x := 0; x < a.look.disp.W; x += dotStep {
			a.dot(o, x, y)
		}
	}
	c.drawGrid(o)
	for _, right := range [2]bool{false, true} {
		var path []calibrate.Pixel
		for y := dotNearM; y <= dotFarM; y += 0.5 {
			if px, ok := c.pixel(a.faceRightM(right, y), y, 0); ok {
				path = append(path, px)
			}
		}
		o.Path(path, false, overlay.Red, 3)
	}
	e := a.wide(a.faces.ClearAtBoard(), c.boardYM)
	from, _ := c.pixel(a.faceRightM(false, c.boardYM), c.boardYM, c.cameraM/2)
	to, _ := c.pixel(a.faceRightM(true, c.boardYM), c.boardYM, c.cameraM/2)
	o.Line(from, to, overlay.Red, 3)
	at := calibrate.Pixel{X: (from.X+to.X)/2 - float64(p.W)/6, Y: math.Min(from.Y, to.Y) - float64(p.H)/60}
	if err := o.Text(at, fmt.Sprintf("%.2f m clear (%.2f to %.2f) %.1f m ahead, from two photos", e.Value, e.Low95, e.High95, c.boardYM), overlay.White); err != nil {
		return o // the lines say it too
	}
	return o
}

// dot marks one matched leaf by its distance.
func (a *alleyPair) dot(o *overlay.Canvas, x, y int) {
	s, ok := a.scene.pairSight(a.view, a.look, x, y)
	if !ok || !s.Canopy || s.AheadM > dotFarM || a.scene.cameraM+s.Up*s.AheadM < dotLowM {
		return
	}
	px, ok := a.look.rect.FirstPixel(calibrate.Pixel{X: float64(x), Y: float64(y)})
	if !ok {
		return
	}
	o.Line(px, calibrate.Pixel{X: px.X + dotPx, Y: px.Y}, dotInk(s.AheadM), dotPx)
}

// dotInk is the colour of a distance: yellow near, over green and light blue, to
// dark blue far off.
func dotInk(aheadM float64) color.NRGBA {
	inks := [...]color.NRGBA{overlay.Yellow, overlay.Green, overlay.SkyBlue, overlay.Blue}
	k := int((aheadM - dotNearM) / (dotFarM - dotNearM) * float64(len(inks)))
	return inks[max(0, min(len(inks)-1, k))]
}
