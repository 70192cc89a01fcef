package skyward

import (
	"errors"
	"math"
	"slices"

	"rowlight/vision"
)

// ErrOneLight means that sky and canopy cannot both be found: one of them is not
// in the picture, or they are alike in brightness.
var ErrOneLight = errors.New("sky and canopy do not both show")

const (
	// combReach: see smoothed.
	combReach = 2
	// endShare of the pixels at either end of the histogram sets the middle
	// between dark and bright: a canopy with one gap in two hundred still
	// has its sky.
	endShare = 0.0025
	// leastRatio of linear light between the sky's peak and the canopy's. A
	// leaf seen from below passes and scatters a tenth of the light that falls
	// on it (transmittance 5 to 10 % in green, less in blue; from memory), so an
	// open sky is some ten times brighter; under three it is no sky but sunlit
	// leaves against shaded ones.
	leastRatio = 3.0
	// leastSky is the linear light (code 39) under which no peak passes for sky:
	// the photo is near black, and what is in it is noise.
	leastSky = 0.02
	// leafGreen: light that passed through leaves or was scattered by them is
	// greener than this, in linear light; white and blue sky lie at 1 and below.
	leafGreen = 1.4
	// leastLeaf: darker (code 10), the colour is noise.
	leastLeaf = 0.003
	// leastFieldPx makes a histogram worth reading.
	leastFieldPx = 1000
	// cut, loCut, hiCut lie between the two corners: the middle, and the upper
	// and lower end of what the two-corner method uses.
	loCut, cut, hiCut = 0.25, 0.50, 0.75
)

// View is what a photo shows of sky and canopy within its field: the disc round
// the picture's middle.
type View struct {
	// X0, Y0 is the top left of the field's box in the photo; Sky and Field have
	// the box's size.
	X0, Y0 int
	Field  *vision.Mask
	Sky    *vision.Mask // within the field, cut half-way
	// SkyLow, SkyMid and SkyHigh are the share of the field that is sky, cut near
	// the sky's peak, half-way, and near the canopy's.
	SkyLow, SkyMid, SkyHigh float64
	FieldPx                 int
	// GapPx are the sizes of the patches of sky, 8-connected, largest first.
	GapPx []int
	// EdgeShare is the length of the border between sky and canopy, in pixels,
	// over the field's pixels: a half pixel of glare moves the share by half of it.
	EdgeShare float64
	// BurntSky is the share of the sky that is at the end of the scale in every
	// channel.
	BurntSky float64
	// Quarters are the shares of sky in the field's four quarters.
	Quarters [4]float64
	// CanopyPeak and SkyPeak are codes of the blue channel.
	CanopyPeak, SkyPeak int
}

// burntCode in every channel; JPEG moves 255 by one.
const burntCode = 254

// Look judges the disc of radiusPx round the picture's middle. It returns
// ErrOneLight where sky and canopy cannot be told apart, and a view without sky where
// all of it is one light and green. The radius is cut to what the picture holds.
func Look(p *vision.Photo, radiusPx float64) (*View, error) {
	v := newView(p, radiusPx)
	if v.FieldPx < leastFieldPx {
		return nil, ErrOneLight
	}
	var h histogram
	v.each(p, func(_, at int) { h[p.Pix[at+2]]++ })
	lo, hi, ok := v.corners(h.smoothed(combReach))
	if !ok && v.green(p) {
		v.Sky = vision.NewMask(v.Field.W, v.Field.H)
		return v, nil
	}
	if !ok {
		return nil, ErrOneLight
	}
	at := func(share float64) float64 { return float64(lo) + share*float64(hi-lo) }
	v.split(p, at(loCut), at(cut), at(hiCut))
	v.GapPx = patches(v.Sky)
	v.EdgeShare = border(v.Sky, v.Field) / float64(v.FieldPx)
	v.quarter()
	return v, nil
}

func newView(p *vision.Photo, radiusPx float64) *View {
	cx, cy := float64(p.W-1)/2, float64(p.H-1)/2
	r := math.Min(radiusPx, math.Min(cx, cy))
	v := &View{X0: int(math.Ceil(cx - r)), Y0: int(math.Ceil(cy - r))}
	w, h := int(math.Floor(cx+r))-v.X0+1, int(math.Floor(cy+r))-v.Y0+1
	v.Field = vision.NewMask(max(w, 0), max(h, 0))
	for y := range v.Field.H {
		for x := range v.Field.W {
			if math.Hypot(float64(x+v.X0)-cx, float64(y+v.Y0)-cy) <= r {
				v.Field.In[y*v.Field.W+x] = true
				v.FieldPx++
			}
		}
	}
	return v
}

// each calls fn with the index of every pixel of the field, in the field's box and
// in the photo's bytes.
func (v *View) each(p *vision.Photo, fn func(i, at int)) {
	for i, in := range v.Field.In {
		if in {
			x, y := i%v.Field.W+v.X0, i/v.Field.W+v.Y0
			fn(i, 3*(y*p.W+x))
		}
	}
}

// corners finds the two peaks and the corners between them.
func (v *View) corners(h histogram) (lo, hi int, ok bool) {
	dark, bright := h.quantile(endShare), h.quantile(1-endShare)
	middle := (dark + bright) / 2
	if middle >= bright {
		return 0, 0, false
	}
	v.CanopyPeak, v.SkyPeak = h.peak(0, middle), h.peak(middle+1, len(h)-1)
	a, b := vision.SRGBToLinear(uint8(v.CanopyPeak)), vision.SRGBToLinear(uint8(v.SkyPeak))
	if b < leastRatio*a || b < leastSky {
		return 0, 0, false
	}
	valley := h.valley(v.CanopyPeak, v.SkyPeak)
	lo, hi = h.corner(v.CanopyPeak, valley), h.corner(v.SkyPeak, valley)
	return lo, hi, true
}

// green tells whether the field's mean light is that of leaves: more green than
// blue by leafGreen, which no sky is.
func (v *View) green(p *vision.Photo) bool {
	var g, b float64
	v.each(p, func(_, at int) {
		g += vision.SRGBToLinear(p.Pix[at+1])
		b += vision.SRGBToLinear(p.Pix[at+2])
	})
	n := float64(v.FieldPx)
	return g > leafGreen*b && g > leastLeaf*n
}

func (v *View) split(p *vision.Photo, low, mid, high float64) {
	v.Sky = vision.NewMask(v.Field.W, v.Field.H)
	var nLow, nMid, nHigh, burnt float64
	v.each(p, func(i, at int) {
		b := float64(p.Pix[at+2])
		if b > low {
			nHigh++
		}
		if b > high {
			nLow++
		}
		if b <= mid {
			return
		}
		nMid++
		v.Sky.In[i] = true
		if min(p.Pix[at], p.Pix[at+1], p.Pix[at+2]) >= burntCode {
			burnt++
		}
	})
	n := float64(v.FieldPx)
	v.SkyLow, v.SkyMid, v.SkyHigh = nLow/n, nMid/n, nHigh/n
	if nMid > 0 {
		v.BurntSky = burnt / nMid
	}
}

// quarter fills Quarters.
func (v *View) quarter() {
	var field, sky [4]float64
	for i, in := range v.Field.In {
		if !in {
			continue
		}
		q := 0
		if i%v.Field.W >= v.Field.W/2 {
			q++
		}
		if i/v.Field.W >= v.Field.H/2 {
			q += 2
		}
		field[q]++
		if v.Sky.In[i] {
			sky[q]++
		}
	}
	for q := range v.Quarters {
		v.Quarters[q] = sky[q] / math.Max(field[q], 1)
	}
}

// patches returns the sizes of the 8-connected patches, largest first.
func patches(m *vision.Mask) []int {
	seen := make([]bool, len(m.In))
	var sizes, queue []int
	for start, in := range m.In {
		if !in || seen[start] {
			continue
		}
		queue, seen[start] = append(queue[:0], start), true
		for k := 0; k < len(queue); k++ {
			x, y := queue[k]%m.W, queue[k]/m.W
			for ny := y - 1; ny <= y+1; ny++ {
				for nx := x - 1; nx <= x+1; nx++ {
					if i := ny*m.W + nx; m.At(nx, ny) && !seen[i] {
						seen[i] = true
						queue = append(queue, i)
					}
				}
			}
		}
		sizes = append(sizes, len(queue))
	}
	slices.Sort(sizes)
	slices.Reverse(sizes)
	return sizes
}

// border counts the pairs of neighbours within the field, side by side, of which
// one is sky; times pi/4, which a staircase is longer than the line it stands for.
func border(sky, field *vision.Mask) float64 {
	n := 0
	for i, in := range field.In {
		if !in {
			continue
		}
		x, y := i%field.W, i/field.W
		for _, d := range [2][2]int{{1, 0}, {0, 1}} {
			if nx, ny := x+d[0], y+d[1]; field.At(nx, ny) && sky.In[i] != sky.At(nx, ny) {
				n++
			}
		}
	}
	return float64(n) * math.Pi / 4
}
