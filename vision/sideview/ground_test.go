package sideview

import (
	"math"
	"testing"

	"rowlight/calibrate"
	"rowlight/vision"
)

// groundScene is a photo of 100 x 100 px whose level line is row 40: leaves hang down to
// row 50 left of column 50, ground is green 128, but 32 in rows 60 to 69, which are classed
// as wood.
func groundScene() (*vision.Photo, *View, Hints) {
	const n = 100
	p := &vision.Photo{W: n, H: n, FullW: n, FullH: n, Pix: make([]uint8, 3*n*n)}
	v := &View{W: n, H: n, Factor: 1, Class: make([]Class, n*n)}
	for k := range v.Class {
		x, y := k%n, k/n
		green := uint8(128)
		v.Class[k] = Ground
		switch {
		case y < 40:
			v.Class[k] = Sky
		case y < 50 && x < 50:
			v.Class[k] = Foliage
		case y >= 60 && y < 70:
			v.Class[k], green = Wood, 32
		}
		p.Pix[3*k+1] = green
	}
	level := func(float64) float64 { return 40 }
	return p, v, Hints{HorizonY: level, FootY: func(float64) float64 { return 80 }, Sheet: [4]calibrate.Pixel{{X: 80, Y: 52}, {X: 90, Y: 52}, {X: 90, Y: 64}, {X: 80, Y: 64}}}
}

func TestGroundLightUnderLeavesAndInShade(t *testing.T) {
	p, v, h := groundScene()
	g := FindOpenGround(p, v, h)
	for _, c := range []struct {
		name string
		x, y float64
		code uint8 // 0: hidden
	}{
		{"sky", 70, 20, 0}, {"leaves", 20, 45, 0}, {"under leaves", 20, 54, 128}, {"beside leaves", 70, 45, 128},
		{"shade taken for wood", 20, 65, 32}, {"off the photo", 120, 65, 0}, {"under the photo", 20, 140, 0},
	} {
		ln, ok := g.Light(calibrate.Pixel{X: c.x, Y: c.y}, 2)
		if ok != (c.code > 0) {
			t.Errorf("%s: seen %v", c.name, ok)
			continue
		}
		if want := math.Log(vision.SRGBToLinear(c.code)); ok && math.Abs(ln-want) > 1e-9 {
			t.Errorf("%s: ln light %.4f, want %.4f", c.name, ln, want)
		}
	}
}
