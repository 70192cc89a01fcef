package vision

// #include "linear.h"
import "C"

import (
	"math"
	"unsafe"
)

// SRGBToLinear decodes one 8-bit sRGB code to linear light, 0..1
// (IEC 61966-2-1:1999).
func SRGBToLinear(code uint8) float64 {
	c := float64(code) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

// LinearCodes is SRGBToLinear of every code.
func LinearCodes() (light [256]float64) {
	for code := range light {
		light[code] = SRGBToLinear(uint8(code))
	}
	return light
}

// LinearToSRGB encodes linear light 0..1 to sRGB on the scale 0..255, not
// rounded; values outside 0..1 are clamped.
func LinearToSRGB(l float64) float64 {
	l = math.Max(0, math.Min(1, l))
	if l <= 0.0031308 {
		return 255 * 12.92 * l
	}
	return 255 * (1.055*math.Pow(l, 1/2.4) - 0.055)
}

// Luminance weights of linear sRGB (IEC 61966-2-1, BT.709 primaries).
const (
	LumaR = 0.2126
	LumaG = 0.7152
	LumaB = 0.0722
)

// Linear is a photo in linear light, three rasters, 0..1.
type Linear struct {
	W, H    int
	R, G, B []float32
}

// Lum returns the luminance of pixel i.
func (l *Linear) Lum(i int) float32 {
	return LumaR*l.R[i] + LumaG*l.G[i] + LumaB*l.B[i]
}

// LinearPhoto decodes a photo to linear light and reduces it by a whole factor
// (1 keeps it), averaging light, not codes. Pixels over at the right and bottom
// edge are dropped.
func LinearPhoto(p *Photo, factor int) *Linear {
	var lut [256]float32
	for i, light := range LinearCodes() {
		lut[i] = float32(light)
	}
	return LinearBy(p, factor, &lut)
}

// LinearBy is LinearPhoto for a camera whose codes stand for the light of lut,
// 0..1, in each channel.
func LinearBy(p *Photo, factor int, lut *[256]float32) *Linear {
	factor = max(factor, 1)
	w, h := p.W/factor, p.H/factor
	out := &Linear{w, h, make([]float32, w*h), make([]float32, w*h), make([]float32, w*h)}
	if w > 0 && h > 0 {
		averageLight(p, factor, lut, out)
	}
	return out
}

// percentileRows: of so many rows one is looked at, which tells a percentile of a photo's
// light as well as all.
const percentileRows = 4

// Percentile95 is the 95th percentile of luminance, 0..1, of every percentileRows-th row, from
// a histogram of 1/1000; 0 for a picture without pixels.
func (l *Linear) Percentile95() float64 {
	const bins = C.RL_LIGHT_BINS
	var hist [bins + 1]uint32
	n := l.W * ((l.H + percentileRows - 1) / percentileRows)
	if n > 0 {
		C.rl_light_counts(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.int(l.W), C.int(l.H), percentileRows, (*C.uint32_t)(unsafe.Pointer(&hist[0])))
	}
	seen := 0
	for b := bins; b >= 0; b-- {
		if seen += int(hist[b]); seen > n/20 {
			return float64(b) / bins
		}
	}
	return 0
}
