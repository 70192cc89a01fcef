package pipeline

import (
	"errors"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// CutKind is what a cut is for, as the plan names it.
type CutKind = metrics.CutKind

// CutMark is one place to cut, to be drawn on the tree's own side photo: heights above
// the ground on the row's plane, metres.
type CutMark struct {
	Number      int // as on the work sheet
	Kind        metrics.CutKind
	LowM, HighM float64
	SizeM       float64
	Side        string // an alley's: "left", "right", "" not known
	// Face of the crown on this photo that looks at that alley: metrics.NearFace,
	// FarFace, "" not known.
	Face string
}

// DrawCuts draws a plan's places on a side photo, with a scale of heights: the board is
// found and the tree cut out again as when it was measured. An *metrics.Unusable or a
// file's fault says why there is no drawing; the photo is never written to.
func DrawCuts(dir, photo string, o *orchard.Orchard, tree orchard.TreeID, cuts []CutMark) (c *overlay.Canvas, err error) {
	defer guard(&err)
	name := filepath.FromSlash(photo)
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("%q leads out of the orchard folder", photo)
	}
	data, err := readPhoto(filepath.Join(dir, name))
	if err != nil {
		return nil, errors.New(readReason(err))
	}
	d, err := drawCuts(data, o, tree, cuts)
	if err != nil {
		return nil, err
	}
	return d.canvas, nil
}

func drawCuts(data []byte, o *orchard.Orchard, tree orchard.TreeID, cuts []CutMark) (*cutDrawing, error) {
	look, err := LookSide(data, Env{Set: settingsFor(o, &tree), Lenses: o.Lenses, NumbersOnly: true})
	if err != nil {
		return nil, err
	}
	d := newCutDrawing(look)
	d.scale()
	d.shouldered = slices.ContainsFunc(cuts, func(m CutMark) bool { return m.Kind == metrics.CutShoulder })
	for _, m := range cuts {
		d.mark(m)
	}
	return d, nil
}

// cutDrawing draws on one tree: sideReport lends its lines on the row's plane.
type cutDrawing struct {
	sideReport
	canvas       *overlay.Canvas
	seen         image.Rectangle // the photo's part on the canvas
	shouldered   bool            // the shoulders go
	alleys       int             // sides drawn so far
	cameraM      float64
	stretch      float64   // of heights over the camera, by the crown's depth
	z, left, rgt []float64 // the outline, row by row from the ground up
}

func newCutDrawing(l *SideLook) *cutDrawing {
	d := &cutDrawing{sideReport: sideReport{scene: l.scene, tree: l.Tree}, stretch: 1}
	d.z, d.left, d.rgt = l.Tree.Outline()
	_, d.cameraM, _ = l.scene.camera()
	if h := l.Tree.Height(); h.M > d.cameraM && len(h.Points) > 0 && h.Points[0].ZM > h.M {
		d.stretch = (h.Points[0].ZM - d.cameraM) / (h.M - d.cameraM)
	}
	whole := image.Rect(0, 0, l.Photo.W, l.Photo.H)
	if d.seen = d.part().Intersect(whole); d.seen.Empty() {
		d.seen = whole
	}
	d.canvas = overlay.NewPart(l.Photo.W, l.Photo.H, l.Photo.Pix, d.seen, cutLongPx)
	return d
}

// drawn is where a height above the ground shows on the crown: over the camera its
// near face stands before the row's plane and is drawn higher, as the measured
// profile has it (metrics.SideTree.Profile).
func (d *cutDrawing) drawn(zM float64) float64 {
	if zM <= d.cameraM {
		return zM
	}
	return d.cameraM + (zM-d.cameraM)*d.stretch
}

// height undoes drawn.
func (d *cutDrawing) height(drawnM float64) float64 {
	if drawnM <= d.cameraM {
		return drawnM
	}
	return d.cameraM + (drawnM-d.cameraM)/d.stretch
}

// part is the picture's part with the tree in it: room beside it for the scale and for
// words, over it and under its foot.
func (d *cutDrawing) part() image.Rectangle {
	const besideM, overM, underM = 1.2, 0.6, 0.5
	if len(d.z) == 0 {
		return image.Rectangle{}
	}
	left, right := d.widest()
	var box image.Rectangle
	for _, p := range []metrics.SidePoint{
		{XM: left - besideM, ZM: -underM}, {XM: right + besideM, ZM: -underM},
		{XM: left - besideM, ZM: d.z[len(d.z)-1] + overM}, {XM: right + besideM, ZM: d.z[len(d.z)-1] + overM},
	} {
		px, ok := d.scene.pixel(p)
		if !ok || math.Abs(px.X)+math.Abs(px.Y) > farPx {
			return image.Rectangle{}
		}
		at := image.Pt(int(px.X), int(px.Y))
		box = box.Union(image.Rectangle{Min: at, Max: at.Add(image.Pt(1, 1))})
	}
	return box
}

// farPx is off any photo: a projection that has run away.
const farPx = 1e5

// What the marks look like.
const (
	// cutLongPx on the 100 mm that a work sheet gives a picture: words of 20 px are
	// 2.8 mm high there, and the photo has 180 pixels to the inch.
	cutLongPx = 720
	// wordsShare: a line of words is this part of the picture's height.
	wordsShare = 30
	cutLinePx  = 3.0
	cutHatchPx = 1.5
	// cutHatchStepM apart, hatching shows on a print and the tree through it.
	cutHatchStepM = 0.15
	// overhangM: a cut's line runs past the outline, so that it is seen.
	overhangM = 0.25
	// scaleGapM: the scale stands this far beside the crown.
	scaleGapM = 0.45
	// windowsDrawn of a face, which has a few.
	windowsDrawn = 2
	// densestTried places are looked at, of which some lie in what goes anyway.
	densestTried = 8
	// A window's words stand so many radii under or over its middle; ringWordsLine is
	// what a line of words is high.
	ringWords, ringWordsLine = 1.4, 0.3
)

// ends are the outline's ends at a height, the nearest row's where it has none.
func (d *cutDrawing) ends(zM float64) (left, right float64, ok bool) {
	best := math.Inf(1)
	for k, z := range d.z {
		if gap := math.Abs(z - zM); gap < best {
			best, left, right = gap, d.left[k], d.rgt[k]
		}
	}
	return left, right, !math.IsInf(best, 1)
}

// widest are the outline's ends over all.
func (d *cutDrawing) widest() (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for k := range d.z {
		left, right = math.Min(left, d.left[k]), math.Max(right, d.rgt[k])
	}
	return left, right
}

// scale draws the crown's heights beside it, a tick a metre.
func (d *cutDrawing) scale() {
	if len(d.z) == 0 {
		return
	}
	left, _ := d.widest()
	x, top := left-scaleGapM, math.Ceil(d.tree.Height().M)
	if !(top > 0 && top < sideTopM) {
		top = math.Ceil(d.height(d.z[len(d.z)-1]))
	}
	inside := d.seen.Inset(d.seen.Dy() / wordsShare)
	d.line(d.canvas, metrics.SidePoint{XM: x}, metrics.SidePoint{XM: x, ZM: d.drawn(top)}, overlay.White, thinPx)
	for z := 0.0; z <= top; z++ {
		at := metrics.SidePoint{XM: x, ZM: d.drawn(z)}
		if px, ok := d.scene.pixel(at); !ok || px.Y < float64(inside.Min.Y) || px.Y > float64(inside.Max.Y) {
			continue // its words would be pushed onto the next tick's
		}
		d.line(d.canvas, at, metrics.SidePoint{XM: x + scaleGapM/3, ZM: at.ZM}, overlay.White, thinPx)
		d.text(metrics.SidePoint{XM: x - scaleGapM, ZM: at.ZM}, fmt.Sprintf("%.0f m", z))
	}
}
