// Package stereo compares two photos of one scene taken a step apart: points they
// share, and how far each pixel has moved from one to the other. It knows pixels
// and no metres.
package stereo

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// Grey is an 8-bit picture, row by row.
type Grey struct {
	W, H int
	Pix  []uint8
}

// full is a reduced copy's place in its photo.
func full(x, y float32, factor int) calibrate.Pixel {
	f := float64(factor)
	return calibrate.Pixel{X: (float64(x)+0.5)*f - 0.5, Y: (float64(y)+0.5)*f - 0.5}
}

// reduced is a grey copy in sRGB's codes, averaged over whole blocks.
func reduced(p *vision.Photo) (*Grey, int) {
	factor := max(1, int(math.Round(math.Max(float64(p.W), float64(p.H))/matchLongPx)))
	g := &Grey{W: p.W / factor, H: p.H / factor}
	g.Pix = make([]uint8, g.W*g.H)
	for y := range g.H {
		for x := range g.W {
			sum := 0
			for dy := range factor {
				at := 3 * ((y*factor+dy)*p.W + x*factor)
				for range factor {
					sum += 299*int(p.Pix[at]) + 587*int(p.Pix[at+1]) + 114*int(p.Pix[at+2])
					at += 3
				}
			}
			g.Pix[y*g.W+x] = uint8(sum / (1000 * factor * factor))
		}
	}
	return g, factor
}

// Turned resamples a photo into a view of w x h px: at says where a pixel of the
// view lies in the photo, and spanPx about how many of the photo's pixels it covers
// to a side. Where the photo does not reach the view is black and seen false.
func Turned(p *vision.Photo, w, h int, spanPx float64, at func(calibrate.Pixel) (calibrate.Pixel, bool)) (g *Grey, seen []bool) {
	g = &Grey{W: w, H: h, Pix: make([]uint8, w*h)}
	seen = make([]bool, w*h)
	n := max(1, int(math.Round(spanPx)))
	for y := range h {
		for x := range w {
			i := y*w + x
			sum, all := 0.0, true
			for k := range n * n {
				dx, dy := (float64(k%n)+0.5)/float64(n)-0.5, (float64(k/n)+0.5)/float64(n)-0.5
				q, ok := at(calibrate.Pixel{X: float64(x) + dx, Y: float64(y) + dy})
				v, in := sample(p, q)
				if all = all && ok && in; !all {
					break
				}
				sum += v
			}
			if all {
				g.Pix[i], seen[i] = uint8(sum/float64(n*n)+0.5), true
			}
		}
	}
	return g, seen
}

// sample is the photo's luma at a place between pixels.
func sample(p *vision.Photo, q calibrate.Pixel) (float64, bool) {
	if !(q.X >= 0 && q.Y >= 0 && q.X < float64(p.W-1) && q.Y < float64(p.H-1)) {
		return 0, false
	}
	x, y := int(q.X), int(q.Y)
	fx, fy := q.X-float64(x), q.Y-float64(y)
	at := 3 * (y*p.W + x)
	top := (1-fx)*luma(p.Pix[at:]) + fx*luma(p.Pix[at+3:])
	at += 3 * p.W
	low := (1-fx)*luma(p.Pix[at:]) + fx*luma(p.Pix[at+3:])
	return (1-fy)*top + fy*low, true
}

func luma(rgb []uint8) float64 {
	return 0.299*float64(rgb[0]) + 0.587*float64(rgb[1]) + 0.114*float64(rgb[2])
}
