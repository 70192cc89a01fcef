package vision

import (
	"math"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// lightPlane reads a grey photo in linear light at any place. The codes stay
// 8-bit: decoding twelve megapixels to floats to look at a few thousand of them
// would cost more than the whole search.
type lightPlane struct {
	w, h  int
	codes []uint8
	lut   [256]float64
}

// newLightPlane looks at a grey 8-bit Mat, which must stay open as long.
func newLightPlane(grey gocv.Mat) (*lightPlane, error) {
	codes, err := grey.DataPtrUint8()
	if err != nil {
		return nil, err
	}
	p := &lightPlane{w: grey.Cols(), h: grey.Rows(), codes: codes}
	for i := range p.lut {
		p.lut[i] = SRGBToLinear(uint8(i))
	}
	return p, nil
}

// at returns linear light 0..1 at a place between pixels, by bilinear
// interpolation; ok is false outside the photo.
func (l *lightPlane) at(x, y float64) (v float64, ok bool) {
	x0, y0 := math.Floor(x), math.Floor(y)
	if !(x0 >= 0 && y0 >= 0 && x0 < float64(l.w-1) && y0 < float64(l.h-1)) {
		return 0, false
	}
	i := int(y0)*l.w + int(x0)
	fx, fy := x-x0, y-y0
	top := l.lut[l.codes[i]]*(1-fx) + l.lut[l.codes[i+1]]*fx
	low := l.lut[l.codes[i+l.w]]*(1-fx) + l.lut[l.codes[i+l.w+1]]*fx
	return top*(1-fy) + low*fy, true
}

const (
	// profileStepPx: profiles are read four times a pixel, well under the blur
	// of any lens.
	profileStepPx = 0.25
	// minEdgeRatio: paper white over ink black in the same light is 15 to 20 on
	// print; blur in a 3 px module and flare leave at least this much.
	minEdgeRatio = 1.6
)

// profile is linear light read across an edge, from reach px inside (black)
// to reach px outside (white), profileStepPx apart.
func (l *lightPlane) profile(at, outward calibrate.Pixel, reachPx float64, into []float64) ([]float64, bool) {
	n := int(math.Round(reachPx / profileStepPx))
	into = into[:0]
	for i := -n; i <= n; i++ {
		t := float64(i) * profileStepPx
		v, ok := l.at(at.X+t*outward.X, at.Y+t*outward.Y)
		if !ok {
			return into, false
		}
		into = append(into, v)
	}
	return into, true
}

// edgeLevels returns the mean of a profile's inner and outer quarter.
func edgeLevels(v []float64) (black, white float64) {
	q := max(1, len(v)/4)
	for i := range q {
		black += v[i] / float64(q)
		white += v[len(v)-1-i] / float64(q)
	}
	return black, white
}

// crossing returns where a profile first rises through a level, nearest to its
// middle, as an offset in px (outward positive).
func crossing(v []float64, level float64) (offsetPx float64, ok bool) {
	best := math.Inf(1)
	mid := float64(len(v)-1) / 2
	for i := 1; i < len(v); i++ {
		if v[i-1] < level && v[i] >= level {
			at := float64(i-1) + (level-v[i-1])/(v[i]-v[i-1]) - mid
			if math.Abs(at) < math.Abs(best) {
				best = at
			}
		}
	}
	return best * profileStepPx, !math.IsInf(best, 1)
}

// edgeOffset returns how far outward of a place the black-to-white edge lies:
// where linear light is half-way between the two sides.
func (l *lightPlane) edgeOffset(at, outward calibrate.Pixel, reachPx float64, buf []float64) (float64, bool) {
	v, ok := l.profile(at, outward, reachPx, buf)
	if !ok {
		return 0, false
	}
	black, white := edgeLevels(v)
	if white < minEdgeRatio*black {
		return 0, false
	}
	return crossing(v, (black+white)/2)
}
