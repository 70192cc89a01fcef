package sideview

import (
	"math"
	"math/rand"
	"testing"

	"rowlight/calibrate"
	"rowlight/vision"
)

type rgb [3]float64

// Colours of the drawn scenes, 8-bit sRGB, chosen from what photos show: leaves
// green over red and poor in blue, bark near grey, litter red over green.
var scenes = map[string]struct {
	skyTop, skyLow rgb
	soil           rgb
}{
	"blue over litter":    {rgb{70, 110, 180}, rgb{190, 210, 235}, rgb{150, 95, 50}},
	"white over litter":   {rgb{235, 236, 238}, rgb{250, 250, 250}, rgb{150, 95, 50}},
	"grey over dry grass": {rgb{150, 155, 165}, rgb{190, 192, 198}, rgb{170, 150, 80}},
}

const (
	testW, testH           = 600, 450
	testHorizon, testFoot  = 280, 380
	crownX, crownY, crownR = 300, 180, 120
)

// drawn paints a sky, a round crown of leaf-sized blotches with a round gap, a
// trunk, and ground, with noise; it returns the photo and each pixel's class.
func drawn(skyTop, skyLow, soil rgb) (*vision.Photo, []Class) {
	rnd := rand.New(rand.NewSource(7))
	p := &vision.Photo{W: testW, H: testH, FullW: testW, FullH: testH, Pix: make([]uint8, 3*testW*testH)}
	truth := make([]Class, testW*testH)
	shade := make([]float64, (testW/8+1)*(testH/8+1))
	for i := range shade {
		shade[i] = 0.35 + 0.65*rnd.Float64()
	}
	for y := range testH {
		for x := range testW {
			c, k := paintAt(x, y, skyTop, skyLow, soil, shade[(y/8)*(testW/8+1)+x/8])
			truth[y*testW+x] = k
			for ch := range 3 {
				v := c[ch] + 2*rnd.NormFloat64()
				p.Pix[3*(y*testW+x)+ch] = uint8(math.Max(0, math.Min(255, v)))
			}
		}
	}
	return p, truth
}

func paintAt(x, y int, skyTop, skyLow, soil rgb, shade float64) (rgb, Class) {
	d := math.Hypot(float64(x-crownX), float64(y-crownY))
	gap := math.Hypot(float64(x-crownX+40), float64(y-crownY+30)) < 20
	switch {
	case d < crownR && !gap:
		return rgb{70 * shade, 105 * shade, 40 * shade}, Foliage
	case x > crownX-10 && x < crownX+10 && y > crownY && y < testFoot+10:
		return rgb{95, 85, 75}, Wood
	case y < testHorizon:
		t := float64(y) / testHorizon
		var c rgb
		for k := range c {
			c[k] = skyTop[k] + t*(skyLow[k]-skyTop[k])
		}
		return c, Sky
	}
	return soil, Ground
}

func testHints() Hints {
	return Hints{
		HorizonY: func(float64) float64 { return testHorizon },
		FootY:    func(float64) float64 { return testFoot },
		Sheet:    [4]calibrate.Pixel{{X: 350, Y: 330}, {X: 400, Y: 330}, {X: 400, Y: 365}, {X: 350, Y: 365}},
	}
}

// Of each class at least 95 % must come back, and so must be what is called it:
// the rest are the edges, one pixel of 3 x 3 means wide.
func TestLookTellsClassesApart(t *testing.T) {
	for name, s := range scenes {
		p, truth := drawn(s.skyTop, s.skyLow, s.soil)
		v := Look(p, testHints())
		if v.Factor != 1 || v.W != testW {
			t.Fatalf("%s: reduced by %d", name, v.Factor)
		}
		var both, of, called [5]float64
		for i, k := range truth {
			if v.Class[i] == Board {
				continue
			}
			of[k]++
			called[v.Class[i]]++
			if v.Class[i] == k {
				both[k]++
			}
		}
		for _, k := range []Class{Sky, Foliage, Ground} {
			if both[k] < 0.95*of[k] || both[k] < 0.95*called[k] {
				t.Errorf("%s: class %d: %.3f of it found, %.3f of what is called it right", name, k, both[k]/of[k], both[k]/called[k])
			}
		}
		if both[Wood] < 0.8*of[Wood] { // 20 px wide, a pixel and more lost on each side
			t.Errorf("%s: wood: %.3f of it found", name, both[Wood]/of[Wood])
		}
		if v.SkySeed < 0.2 {
			t.Errorf("%s: open sky share %.3f", name, v.SkySeed)
		}
	}
}

func TestNoSkyIsNotInvented(t *testing.T) {
	p, _ := drawn(rgb{60, 90, 35}, rgb{60, 90, 35}, rgb{150, 95, 50}) // leaves all over
	v := Look(p, testHints())
	for i, k := range v.Class {
		if k == Sky {
			t.Fatalf("sky at pixel %d of a picture without any", i)
		}
	}
	if v.SkySeed != 0 {
		t.Errorf("open sky share %.3f, want 0", v.SkySeed)
	}
}

func TestBoardIsBoard(t *testing.T) {
	s := scenes["blue over litter"]
	p, _ := drawn(s.skyTop, s.skyLow, s.soil)
	v := Look(p, testHints())
	if k, ok := v.AtPhoto(calibrate.Pixel{X: 375, Y: 345}); !ok || k != Board {
		t.Errorf("on the sheet: class %d, %v", k, ok)
	}
	if k, _ := v.AtPhoto(calibrate.Pixel{X: 420, Y: 345}); k == Board {
		t.Error("beside the sheet: called board")
	}
	if _, ok := v.AtPhoto(calibrate.Pixel{X: -5, Y: 3}); ok {
		t.Error("outside the photo: called seen")
	}
}

// A photo twice as large in pixels must give the same picture, reduced.
func TestLookReducesLargePhotos(t *testing.T) {
	p := &vision.Photo{W: 4032, H: 3024, FullW: 4032, FullH: 3024, Pix: make([]uint8, 3*4032*3024)}
	v := Look(p, Hints{HorizonY: func(float64) float64 { return 1500 }, FootY: func(float64) float64 { return 2000 }})
	if v.Factor != 3 || v.W != 1344 || v.H != 1008 {
		t.Errorf("factor %d, %d x %d; want 3, 1344 x 1008", v.Factor, v.W, v.H)
	}
	if v.Light != 0 {
		t.Errorf("light of a black picture %g", v.Light)
	}
}

func TestTinyPhotos(t *testing.T) {
	for _, n := range []int{1, 2, 5} {
		p := &vision.Photo{W: n, H: n, FullW: n, FullH: n, Pix: make([]uint8, 3*n*n)}
		if v := Look(p, testHints()); len(v.Class) != n*n {
			t.Errorf("%d x %d: %d classes", n, n, len(v.Class))
		}
	}
}

// Shaded leaves near by are smooth, and as blue as the sky that they mirror, but much darker:
// here a twentieth of its light.
func TestMirroringLeavesAreNoSky(t *testing.T) {
	s := scenes["blue over litter"]
	p, truth := drawn(s.skyTop, s.skyLow, s.soil)
	const leafPx, farPx = 18, 0.8 * crownR
	var leaves []int
	for y := range testHorizon {
		for x := range testW {
			i := y*testW + x
			if (x/leafPx+y/leafPx)%2 == 0 || truth[i] != Foliage || math.Hypot(float64(x-crownX), float64(y-crownY)) > farPx {
				continue
			}
			copy(p.Pix[3*i:], []uint8{25, 33, 38})
			leaves = append(leaves, i)
		}
	}
	v := Look(p, testHints())
	wrong := 0
	for _, i := range leaves {
		if v.Class[i] == Sky {
			wrong++
		}
	}
	if wrong > len(leaves)/100 { // none, but for the gap's rim
		t.Errorf("%d of %d pixels of leaf are called sky", wrong, len(leaves))
	}
}
