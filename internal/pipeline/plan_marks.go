package pipeline

import (
	"fmt"
	"math"

	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// text writes words whose lower left is a point of the row's plane. Words that cannot
// be written are on the sheet beside the picture.
func (d *cutDrawing) text(at metrics.SidePoint, words string) {
	if p, ok := d.scene.pixel(at); ok {
		_ = d.canvas.Text(p, words, overlay.White)
	}
}

func (d *cutDrawing) mark(m CutMark) {
	switch m.Kind {
	case metrics.CutTop:
		d.hatch(m.LowM, math.Inf(1), func(l, r float64) [][2]float64 { return [][2]float64{{l, r}} })
		d.level(m.LowM, fmt.Sprintf("%d top: down to %.1f m", m.Number, m.LowM))
	case metrics.CutSkirt:
		d.hatch(0, m.HighM, func(l, r float64) [][2]float64 { return [][2]float64{{l, r}} })
		d.level(m.HighM, fmt.Sprintf("%d skirt: up to %.1f m", m.Number, m.HighM))
	case metrics.CutShoulder:
		d.shoulders(m)
	case metrics.CutWindow:
		d.windows(m)
	case metrics.CutAlley:
		d.alleyFace(m)
	}
}

// windows rings the fullest places that stay when the shoulders go.
func (d *cutDrawing) windows(m CutMark) {
	left, right, ok := d.lowerThird()
	words, drawn, wordsUp := "%d window, %.1f m", 0, -ringWords
	for _, at := range d.tree.Densest(d.drawn(m.LowM), d.drawn(m.HighM), m.SizeM, densestTried) {
		if d.shouldered && ok && (at.XM < left || at.XM > right) {
			continue
		}
		d.ring(at, m.SizeM/2, wordsUp, fmt.Sprintf(words, m.Number, d.height(at.ZM)))
		words, wordsUp = "%d, %.1f m", ringWords-ringWordsLine // a second may stand beside it: its words over it
		if drawn++; drawn == windowsDrawn {
			return
		}
	}
}

// level draws a cut across the crown.
func (d *cutDrawing) level(heightM float64, words string) {
	zM := d.drawn(heightM)
	left, right, ok := d.ends(zM)
	if !ok {
		return
	}
	d.line(d.canvas, metrics.SidePoint{XM: left - overhangM, ZM: zM}, metrics.SidePoint{XM: right + overhangM, ZM: zM}, overlay.Red, cutLinePx)
	d.text(metrics.SidePoint{XM: right - overhangM, ZM: zM + cutHatchStepM/2}, words)
}

// hatch draws what goes between two heights; part says which stretches of a row of the
// outline.
func (d *cutDrawing) hatch(lowM, highM float64, part func(left, right float64) [][2]float64) {
	next := d.drawn(lowM)
	for k, z := range d.z {
		if z < next || z > d.drawn(highM) {
			continue
		}
		next = z + cutHatchStepM
		for _, s := range part(d.left[k], d.rgt[k]) {
			if s[1] > s[0] {
				d.line(d.canvas, metrics.SidePoint{XM: s[0], ZM: z}, metrics.SidePoint{XM: s[1], ZM: z}, overlay.Red, cutHatchPx)
			}
		}
	}
}

// shoulders draws the plumb lines of the lower third's ends and what hangs out over
// them.
func (d *cutDrawing) shoulders(m CutMark) {
	left, right, ok := d.lowerThird()
	if !ok {
		return
	}
	for _, x := range []float64{left, right} {
		d.line(d.canvas, metrics.SidePoint{XM: x, ZM: d.drawn(m.LowM)}, metrics.SidePoint{XM: x, ZM: d.drawn(m.HighM)}, overlay.Red, cutLinePx)
	}
	d.hatch(m.LowM, m.HighM, func(l, r float64) [][2]float64 { return [][2]float64{{l, left}, {right, r}} })
	d.text(metrics.SidePoint{XM: right, ZM: d.drawn(m.LowM)}, fmt.Sprintf("%d shoulders, %.1f to %.1f m", m.Number, m.LowM, m.HighM))
}

// lowerThird are the widest ends of the outline's lower third.
func (d *cutDrawing) lowerThird() (left, right float64, ok bool) {
	left, right = math.Inf(1), math.Inf(-1)
	for k := range d.z {
		if foot := d.z[0]; d.height(d.z[k]) <= foot+(d.height(d.z[len(d.z)-1])-foot)/3 {
			left, right, ok = math.Min(left, d.left[k]), math.Max(right, d.rgt[k]), true
		}
	}
	return left, right, ok
}

// faceFoot is where the alley side's words stand: at the crown's lower edge.
func (d *cutDrawing) faceFoot() metrics.SidePoint {
	left, right, _ := d.ends(d.z[0])
	return metrics.SidePoint{XM: math.Max(left, left+(right-left)/4), ZM: d.z[0]}
}

// ring draws a window, its words so many radii over its middle.
func (d *cutDrawing) ring(at metrics.SidePoint, radiusM, wordsUp float64, words string) {
	c, ok := d.scene.pixel(at)
	rim, ok2 := d.scene.pixel(metrics.SidePoint{XM: at.XM + radiusM, ZM: at.ZM})
	if ok && ok2 {
		d.canvas.Circle(c, c.Dist(rim), overlay.Red, cutLinePx)
		d.text(metrics.SidePoint{XM: at.XM - radiusM, ZM: at.ZM + wordsUp*radiusM}, words)
	}
}
