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
	// Print are pairs of places on the board's print; each is read over a square
	// of PrintHalfPx to each side.
	Print       []PrintPair
	PrintHalfPx float64
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
	// Tone is the camera's tone curve as the board's print tells it, 0 sRGB alone
	// to 1 a full S, and ToneSD its error.
	Tone, ToneSD float64
	// TwoLights tells whether sun and shade were both found. Without it
	// Fraction, Linear and Lit are nil.
	TwoLights bool
	// Patchy: bright and dark patches of one colour were found, which is neither
	// all sun nor all shade of a clear day.
	Patchy bool
	// Fraction is the share of the sun's disc that the mixture expects at each
	// pixel, 0..1; its mean is the sunlit share.
	Fraction *vision.Raster
	// Linear is the linear unmixing of each pixel between the two levels, not
	// clamped: a second opinion.
	Linear *vision.Raster
	// Lit is the plain threshold half-way between shade and sun.
	Lit *vision.Mask
	// Contrast is the light of sun over that of shade, green and blue, the camera's
	// tone curve taken out. Without TwoLights it is how far the floor's luminance
	// differs between patches of a fleck's size.
	Contrast float64
	// Warmth is the log of red to blue in the sun over the same in the shade.
	Warmth float64
	// ShadeSpread is the relative spread of the regional shade level, one SD.
	ShadeSpread float64
	// CoreSun and CoreShade count the pixels of more sun than shade and of sure
	// shade.
	CoreSun, CoreShade int
	// Burnt is the share of Floor burnt out in every channel, Dark the share
	// that is black (code 0 to 2 in green).
	Burnt, Dark float64
	Board       BoardLight
}

const (
	// burntCode: all three channels at it or above (JPEG moves 255 by one).
	burntCode = 254
	// darkCode: at it or below a tone curve's toe has eaten what there was.
	darkCode = 2
)

// Look judges a photo. A photo without ground gives a View with an empty Floor.
func Look(p *vision.Photo, h Hints) *View {
	tone, toneSD := fitTone(readPairs(p, h.Print, h.PrintHalfPx))
	lut := tone.light()
	lin := vision.LinearBy(p, h.Factor, &lut)
	v := &View{Tone: float64(tone), ToneSD: toneSD, W: lin.W, H: lin.H, Factor: max(h.Factor, 1), Contrast: 1}
	v.Floor, v.Other = vision.NewMask(lin.W, lin.H), vision.NewMask(lin.W, lin.H)
	sheet := newPolygon(h.Sheet, v.Factor, sheetMargin)
	copy(v.Floor.In, h.Ground.In)
	sheet.each(v.W, v.H, func(i int) { v.Floor.In[i] = false })
	v.Board = boardLight(lin, newPolygon(h.Grey, v.Factor, greyInset))
	v.Board.Range = whiteRange(p, h, &lut)
	ends := lin.FloorEnds(v.Floor.In, lut[burntCode], lut[darkCode])
	s := newScene(lin, v.Floor, ends, math.Max(h.GrainPx, 1))
	if s.count < leastPixels {
		return v
	}
	v.Burnt, v.Dark = float64(ends.Burnt)/float64(ends.Count), float64(ends.Dark)/float64(ends.Count)
	v.leaveOut(s, s.black(sheet.centre(), tone))
	if s.count < leastPixels {
		return v
	}
	v.split(s, sheet.centre())
	return v
}

// split fits the floor's two lights, without what stands before it.
func (v *View) split(s *scene, board calibrate.Pixel) {
	s.fittedLight()
	s.fit()
	sum := s.sums()
	cold, sleek := s.cold(sum), s.sleek(board, sum)
	if cold != nil || sleek != nil {
		v.leaveOut(s, cold)
		v.leaveOut(s, sleek)
		s.fit()
	}
	v.leaveOut(s, s.standing(board))
	v.unmix(s)
}

// leaveOut takes marked pixels out of the floor.
func (v *View) leaveOut(s *scene, other []bool) {
	for i, o := range other {
		if o && v.Floor.In[i] {
			v.Floor.In[i], v.Other.In[i] = false, true
			s.count--
		}
	}
	if other != nil {
		s.grained = nil
	}
}

// leastPixels of floor make a histogram worth fitting.
const leastPixels = 1000

// sheetMargin swells the sheet, relative to its size: its edge, its shadow and
// the pose's error. greyInset shrinks the grey patch off its edge.
const (
	sheetMargin = 1.04
	greyInset   = 0.75
)
