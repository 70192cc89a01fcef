package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// Hints is what the caller knows of the photo. All points are pixels of the
// photo as given, not of the reduced copy.
type Hints struct {
	// Factor reduces the photo by a whole number before anything else; a grain
	// of about 4 reduced pixels keeps all that matters.
	Factor int
	// GrainPx is 10 mm on the floor at the board, in reduced pixels: under the
	// width of a penumbra (20-50 mm below a canopy of 2-5 m), above the size of
	// soil crumbs, straw and twigs.
	GrainPx float64
	// Sheet and Grey are the corners of the board's sheet and of its grey patch.
	Sheet, Grey [4]calibrate.Pixel
	// Ground marks, in the reduced copy, what can be floor by geometry.
	Ground *vision.Mask
}

// View is what a photo shows of sun and shade. All rasters have the size of the
// reduced copy.
type View struct {
	W, H, Factor int
	// Floor marks the pixels that can be judged: ground, not board, not
	// something standing or hanging before it.
	Floor *vision.Mask
	// Other marks what looks like no floor: trunk, limb, leaf near the lens.
	Other *vision.Mask
	// TwoLights tells whether sun and shade were both found. Without it
	// Unmixed, Fraction and Lit are nil.
	TwoLights bool
	// Unmixed is the linear unmixing of each pixel, not clamped: noise and
	// texture average out in its mean.
	Unmixed *vision.Raster
	// Fraction is 0..1, smoothed at the grain's scale: for drawing and as the
	// second opinion on the share.
	Fraction *vision.Raster
	// Lit is the plain threshold half-way between shade and sun.
	Lit *vision.Mask
	// Contrast is the mean luminance of sure sun over sure shade (decoded as
	// sRGB, so the camera's tone curve is in it). Without TwoLights it is how far
	// the floor's light differs between patches of a fleck's size.
	Contrast float64
	// Mixture is the third opinion: the mixture's expected fraction.
	Mixture *vision.Raster
	// ShadeSpread is the relative spread of the regional shade level and
	// SunSpread that of the sun level, one SD.
	ShadeSpread, SunSpread float64
	// CoreSun and CoreShade count the pixels of sure sun and of sure shade.
	CoreSun, CoreShade int
	// Burnt is the share of Floor burnt out in every channel, Dark the share
	// that is black (code 0 to 2 in green).
	Burnt, Dark float64
	Board       BoardLight
}

// burntLevel: all three channels at code 254 or above (JPEG moves 255 by one).
const burntLevel = 0.9911

// darkLevel is linear light of code 2: below it a tone curve's toe has eaten
// what there was.
const darkLevel = 0.000607

// Look judges a photo. A photo without ground gives a View with an empty Floor.
func Look(p *vision.Photo, h Hints) *View {
	lin := vision.LinearPhoto(p, h.Factor)
	v := &View{W: lin.W, H: lin.H, Factor: max(h.Factor, 1), Contrast: 1}
	v.Floor, v.Other = vision.NewMask(lin.W, lin.H), vision.NewMask(lin.W, lin.H)
	sheet := newPolygon(h.Sheet, v.Factor, sheetMargin)
	v.forEach(func(x, y, i int) {
		v.Floor.In[i] = h.Ground.At(x, y) && !sheet.has(float64(x), float64(y))
	})
	v.Board = boardLight(lin, newPolygon(h.Grey, v.Factor, greyInset))
	s := newScene(lin, v.Floor, math.Max(h.GrainPx, 1))
	if s.count < leastPixels {
		return v
	}
	v.countEnds(lin)
	s.smooth()
	v.leaveOut(s, s.black(sheet.centre()))
	if s.count < leastPixels {
		return v
	}
	s.fit()
	v.leaveOut(s, s.standing(sheet.centre(), lin))
	v.unmix(s)
	return v
}

// leaveOut takes pixels out of the floor.
func (v *View) leaveOut(s *scene, other *vision.Mask) {
	for i, o := range other.In {
		if o && v.Floor.In[i] {
			v.Floor.In[i], v.Other.In[i] = false, true
		}
	}
	s.restrict(v.Floor)
}

// leastPixels of floor make a histogram worth fitting.
const leastPixels = 1000

// sheetMargin swells the sheet, relative to its size: its edge, its shadow and
// the pose's error. greyInset shrinks the grey patch off its edge.
const (
	sheetMargin = 1.04
	greyInset   = 0.75
)

func (v *View) forEach(fn func(x, y, i int)) {
	for y := range v.H {
		for x := range v.W {
			fn(x, y, y*v.W+x)
		}
	}
}

// countEnds counts burnt-out and black floor.
func (v *View) countEnds(lin *vision.Linear) {
	var n, burnt, dark float64
	for i, in := range v.Floor.In {
		if !in {
			continue
		}
		n++
		if min(lin.R[i], lin.G[i], lin.B[i]) >= burntLevel {
			burnt++
		}
		if lin.G[i] <= darkLevel {
			dark++
		}
	}
	v.Burnt, v.Dark = burnt/n, dark/n
}
