// Package register finds the same spots in two photos of one thing by what they
// look like. It knows pixels and no metres: which spots may belong together is
// for geometry to say.
package register

import (
	"fmt"
	"image"
	"math"
	"math/bits"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
	"rowlight/vision"
)

// workLongPx bounds the longer side of the copy that is searched: a leaf of
// 10 cm is some 15 px at 7 m then, the size of the spots described.
const workLongPx = 1200

// Spot is a place in a photo and what its surroundings look like.
type Spot struct {
	At   calibrate.Pixel // in the photo's own pixels
	look [8]uint64       // AKAZE's binary description, 486 bits
}

// Spots finds the conspicuous places of a photo (AKAZE: Alcantarilla, Nuevo and
// Bartoli 2013, BMVC), the same in every run. A blank photo has none.
func Spots(p *vision.Photo) ([]Spot, error) {
	rgb, err := gocv.NewMatFromBytes(p.H, p.W, gocv.MatTypeCV8UC3, p.Pix)
	if err != nil {
		return nil, fmt.Errorf("register: find spots: %w", err)
	}
	defer rgb.Close()
	grey := gocv.NewMat()
	defer grey.Close()
	gocv.CvtColor(rgb, &grey, gocv.ColorRGBToGray)
	factor := math.Max(1, float64(max(p.W, p.H))/workLongPx)
	if factor > 1 {
		size := gocv.NewMat()
		defer size.Close()
		gocv.Resize(grey, &size, image.Pt(int(float64(p.W)/factor), int(float64(p.H)/factor)), 0, 0, gocv.InterpolationArea)
		return describe(size, factor)
	}
	return describe(grey, factor)
}

func describe(grey gocv.Mat, factor float64) ([]Spot, error) {
	finder := gocv.NewAKAZE()
	defer finder.Close()
	all := gocv.NewMat()
	defer all.Close()
	points, looks := finder.DetectAndCompute(grey, all)
	defer looks.Close()
	if len(points) == 0 {
		return nil, nil
	}
	data, err := looks.DataPtrUint8()
	if err != nil {
		return nil, fmt.Errorf("register: describe spots: %w", err)
	}
	width := looks.Cols()
	if looks.Rows() != len(points) || width > 8*8 {
		return nil, fmt.Errorf("register: describe spots: %d descriptions of %d bytes for %d spots", looks.Rows(), width, len(points))
	}
	out := make([]Spot, len(points))
	for i, k := range points {
		out[i].At = calibrate.Pixel{X: (k.X+0.5)*factor - 0.5, Y: (k.Y+0.5)*factor - 0.5}
		for b, v := range data[i*width : (i+1)*width] {
			out[i].look[b/8] |= uint64(v) << (8 * (b % 8))
		}
	}
	return out, nil
}

// Pair are two spots that look alike, by their index.
type Pair struct{ A, B int }

// clearlyBest: the best match must differ by less than this share of what the
// second best differs by (Lowe 2004, IJCV 60:91-110, section 7.1: 0.8).
const clearlyBest = 0.8

// Alike pairs each spot of a with the spot of b that looks most like it, where
// near allows the two to be one and no other that it allows comes close.
func Alike(a, b []Spot, near func(i, j int) bool) []Pair {
	var out []Pair
	for i := range a {
		best, second, at := 1<<30, 1<<30, -1
		for j := range b {
			d := a[i].differs(&b[j])
			switch {
			case d < best:
				best, second, at = d, best, j
			case d < second:
				second = d
			}
		}
		if at >= 0 && float64(best) < clearlyBest*float64(second) && near(i, at) {
			out = append(out, Pair{i, at})
		}
	}
	return out
}

// differs counts the bits of description that differ.
func (s *Spot) differs(o *Spot) int {
	n := 0
	for k := range s.look {
		n += bits.OnesCount64(s.look[k] ^ o.look[k])
	}
	return n
}
