package metrics

import (
	"math"
	"slices"
)

// leastCrownForShapeM of crown height make thirds worth comparing.
const leastCrownForShapeM = 0.6

// Thirds are the widths of the crown's top and bottom third (the 96 % width of
// the foliage in each, as drawn); ok is false where one is not there.
func (t *SideTree) Thirds() (topM, bottomM, sdM float64, ok bool) {
	p := t.Plane
	lo, hi := t.heightQuantile(baseQuantile), t.heightQuantile(topQuantile)
	if !(hi-lo >= leastCrownForShapeM) {
		return 0, 0, 0, false
	}
	third := (hi - lo) / 3
	a, b, okLow := t.extent(p.Row(lo), p.Row(lo+third), slabTrim)
	c, d, okHigh := t.extent(p.Row(hi-third), p.Row(hi), slabTrim)
	if !okLow || !okHigh {
		return 0, 0, 0, false
	}
	bottom, top := 2*p.radius((b-a)/2), 2*p.radius((d-c)/2)
	sd := rss(math.Sqrt2*edgeSDM, widthShapeRelSD*bottom)
	if t.Zone {
		sd = rss(sd, t.doubtM[p.Row(lo+third/2)])
	}
	return top, bottom, sd, bottom > 0
}

// Shoulder is how far the crown's widest half metre stands out over its bottom
// third, a side: half the difference of their widths, 0 where it does not.
func (t *SideTree) Shoulder() SideLength {
	_, bottom, sd, ok := t.Thirds()
	if !ok {
		return SideLength{Reason: "the crown is too short or too thin to compare its thirds"}
	}
	widest := SideWidth{}
	for _, w := range t.Profile() {
		if w.M > widest.M {
			widest = w
		}
	}
	m := math.Max(0, (widest.M-bottom)/2)
	return SideLength{M: m, SDM: rss(sd, widest.SDM) / 2, Points: widest.Points}
}

// TopToBottom is the width of the top third over that of the bottom third with
// one standard deviation; ok is false where there is none.
func (t *SideTree) TopToBottom() (ratio, sd float64, ok bool) {
	top, bottom, sdM, ok := t.Thirds()
	if !ok {
		return 0, 0, false
	}
	r := top / bottom
	sdTop := rss(math.Sqrt2*edgeSDM, widthShapeRelSD*top)
	return r, r * rss(sdTop/math.Max(top, edgeSDM), sdM/bottom), true
}

// Outline returns the rows of the outline from the ground up: its height and
// its left and right ends; rows without it are left out. For drawing.
func (t *SideTree) Outline() (zM, leftM, rightM []float64) {
	p, b := t.Plane, t.box
	for j := b.y0; j < b.y1; j++ {
		row := t.outline.in[j*p.W+b.x0 : j*p.W+b.x1]
		if lo := slices.Index(row, true); lo >= 0 {
			hi := len(row) - 1
			for !row[hi] {
				hi--
			}
			zM, leftM, rightM = append(zM, p.ZM(j)), append(leftM, p.XM(b.x0+lo)), append(rightM, p.XM(b.x0+hi))
		}
	}
	return zM, leftM, rightM
}
