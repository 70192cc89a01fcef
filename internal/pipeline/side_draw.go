package pipeline

import (
	"fmt"
	"image/color"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// Widths of the overlay's lines, canvas pixels.
const (
	thinPx, thickPx = 1.5, 2.5
	// outlineStep: every 5th row (5 cm) of the outline is drawn.
	outlineStep = 5
)

// draw shows on the photo what was measured: outline, height, widths, gaps,
// board. Labels that cannot be written are left out: the numbers are in the
// record.
func (r *sideReport) draw(s Shot) *overlay.Canvas {
	c := overlay.New(s.Photo.W, s.Photo.H, s.Photo.Pix)
	r.drawOutline(c)
	r.drawWidths(c)
	for _, g := range r.found {
		at, ok := r.scene.pixel(g.At)
		rim, ok2 := r.scene.pixel(metrics.SidePoint{XM: g.At.XM + g.DiameterM/2, ZM: g.At.ZM})
		if ok && ok2 {
			c.Circle(at, at.Dist(rim), overlay.Purple, thinPx)
		}
	}
	r.drawHeight(c)
	r.drawBoard(c)
	return c
}

func (r *sideReport) drawOutline(c *overlay.Canvas) {
	z, left, right := r.tree.Outline()
	var up, down []calibrate.Pixel
	for k := 0; k < len(z); k += outlineStep {
		a, okA := r.scene.pixel(metrics.SidePoint{XM: left[k], ZM: z[k]})
		b, okB := r.scene.pixel(metrics.SidePoint{XM: right[k], ZM: z[k]})
		if okA && okB {
			up, down = append(up, a), append(down, b)
		}
	}
	for i := len(down) - 1; i >= 0; i-- {
		up = append(up, down[i])
	}
	c.Path(up, true, overlay.Yellow, thickPx)
}

func (r *sideReport) drawWidths(c *overlay.Canvas) {
	for _, w := range r.tree.Profile() {
		r.line(c, w.Points[0], w.Points[1], overlay.SkyBlue, thinPx)
		if p, ok := r.scene.pixel(w.Points[1]); ok {
			_ = c.Text(p, fmt.Sprintf("%.1f", w.M), overlay.SkyBlue)
		}
	}
}

func (r *sideReport) drawHeight(c *overlay.Canvas) {
	h := r.tree.Height()
	if len(h.Points) == 0 {
		return
	}
	top := h.Points[0]
	_, left, _ := r.tree.Outline()
	x := top.XM
	for _, v := range left {
		x = min(x, v)
	}
	x -= 0.15
	r.line(c, metrics.SidePoint{XM: x}, metrics.SidePoint{XM: x, ZM: top.ZM}, overlay.Orange, thickPx)
	r.line(c, metrics.SidePoint{XM: x, ZM: top.ZM}, top, overlay.Orange, thinPx)
	for _, m := range r.out.Measurements {
		if m.Quantity != orchard.HeightM || m.Value == nil {
			continue
		}
		if p, ok := r.scene.pixel(metrics.SidePoint{XM: x, ZM: top.ZM / 2}); ok {
			_ = c.Text(p, fmt.Sprintf("%.1f m (%.1f-%.1f)", *m.Value, *m.Low95, *m.High95), overlay.Orange)
		}
	}
}

func (r *sideReport) drawBoard(c *overlay.Canvas) {
	var sheet []calibrate.Pixel
	for _, p := range calibrate.SheetCorners() {
		if px, ok := r.scene.pose.Project(p); ok {
			sheet = append(sheet, px)
		}
	}
	c.Path(sheet, true, overlay.Green, thickPx)
}

func (r *sideReport) line(c *overlay.Canvas, a, b metrics.SidePoint, ink color.NRGBA, widthPx float64) {
	p, ok := r.scene.pixel(a)
	q, ok2 := r.scene.pixel(b)
	if ok && ok2 {
		c.Line(p, q, ink, widthPx)
	}
}
