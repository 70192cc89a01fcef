package floorlight

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// PrintPair is two places of the board close together, one on its white paper,
// one on its ink or its grey patch, in the photo's own pixels.
type PrintPair struct {
	White, Dark calibrate.Pixel
	Grey        bool // Dark lies on the grey patch, not on black ink
}

// pairCodes are a pair's mean codes in one channel, 0..255.
type pairCodes struct {
	white, dark float64
	grey        bool
}

// Codes beyond these are burnt out or lost in noise and rounding.
const whiteMost, darkLeast = 246, 4

// readPairs reads each channel of each pair, averaged over a square of half px to
// each side.
func readPairs(p *vision.Photo, pairs []PrintPair, half float64) []pairCodes {
	var out []pairCodes
	for _, q := range pairs {
		w, okW := meanCode(p, q.White, half)
		d, okD := meanCode(p, q.Dark, half)
		if !okW || !okD {
			continue
		}
		for k := range 3 {
			if w[k] < whiteMost && d[k] > darkLeast && w[k] > d[k] {
				out = append(out, pairCodes{w[k], d[k], q.Grey})
			}
		}
	}
	return out
}

// meanCode is the mean code about a place; ok is false where it is not wholly in
// the photo.
func meanCode(p *vision.Photo, at calibrate.Pixel, half float64) (mean [3]float64, ok bool) {
	x0, x1 := int(math.Ceil(at.X-half)), int(math.Floor(at.X+half))
	y0, y1 := int(math.Ceil(at.Y-half)), int(math.Floor(at.Y+half))
	if x0 < 0 || y0 < 0 || x1 >= p.W || y1 >= p.H || x1 < x0 || y1 < y0 {
		return mean, false
	}
	n := float64((x1 - x0 + 1) * (y1 - y0 + 1))
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for k := range 3 {
				mean[k] += float64(p.Pix[3*(y*p.W+x)+k]) / n
			}
		}
	}
	return mean, true
}
