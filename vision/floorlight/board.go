package floorlight

import (
	"math"
	"sort"

	"rowlight/vision"
)

// BoardLight is the colour of the light on the board's grey patch. The patch is
// grey by print, so its colour is the light's, as the camera balanced it.
type BoardLight struct {
	Seen      bool    // enough of the patch shows, not burnt out and not black
	RedToBlue float64 // ratio in linear light; 1 neutral, below 1 bluish
	Level     float64 // luminance, 0..1
	// Range is how far the light on the board's white differs from place to place:
	// its 95th over its 5th percentile, green; 1 where it is even or not seen.
	Range float64
}

const (
	// greyLeastPixels of the patch give the ratio to better than 1 % at a noise
	// of a few codes.
	greyLeastPixels = 40
	// greyMost and greyLeast bound the levels at which no channel can be on the
	// end of the tone curve.
	greyMost, greyLeast = 0.9, 0.003
)

func boardLight(lin *vision.Linear, patch polygon) BoardLight {
	var r, g, b, n float64
	patch.each(lin.W, lin.H, func(i int) {
		r, g, b, n = r+float64(lin.R[i]), g+float64(lin.G[i]), b+float64(lin.B[i]), n+1
	})
	if n < greyLeastPixels {
		return BoardLight{}
	}
	r, g, b = r/n, g/n, b/n
	return BoardLight{
		Seen:      math.Max(r, math.Max(g, b)) < greyMost && math.Min(r, b) > greyLeast,
		RedToBlue: r / math.Max(b, 1e-6),
		Level:     vision.LumaR*r + vision.LumaG*g + vision.LumaB*b,
	}
}

// whiteRange reads Range from the white side of the print's pairs.
func whiteRange(p *vision.Photo, h Hints, lut *[256]float32) float64 {
	var light []float64
	for _, q := range h.Print {
		if w, ok := meanCode(p, q.White, h.PrintHalfPx); ok {
			light = append(light, lightAt(lut, w[1]))
		}
	}
	n := len(light)
	if n == 0 {
		return 1
	}
	sort.Float64s(light)
	return light[n-1-n/20] / light[n/20]
}
