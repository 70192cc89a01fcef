package vision

import (
	"math"

	"rowlight/calibrate"
)

// lightPlane reads a photo's grey in linear light at any place, from the photo's own
// bytes: making twelve megapixels grey to look at a few thousand of them would cost
// more than all of the looking.
type lightPlane struct {
	w, h int
	rgb  []uint8
	lut  [256]float64
}

func newLightPlane(p *Photo) (*lightPlane, error) {
	if err := p.sound(); err != nil {
		return nil, err
	}
	return &lightPlane{w: p.W, h: p.H, rgb: p.Pix, lut: LinearCodes()}, nil
}

// Weights of grey (ITU-R BT.601) in 1/2^greyShift, as OpenCV rounds them.
const (
	greyR, greyG, greyB = 9798, 19235, 3735
	greyShift           = 15
)

// code is the grey of a pixel.
func (l *lightPlane) code(x, y int) uint8 { return greyOf(l.rgb[3*(y*l.w+x):]) }

func greyOf(rgb []uint8) uint8 {
	_ = rgb[2]
	return uint8((uint32(rgb[0])*greyR + uint32(rgb[1])*greyG + uint32(rgb[2])*greyB + 1<<(greyShift-1)) >> greyShift)
}

// holds tells whether light can be read at a place between pixels.
func (l *lightPlane) holds(x, y float64) bool {
	return x >= 0 && y >= 0 && x < float64(l.w-1) && y < float64(l.h-1)
}

const (
	// profileStepPx: profiles are read four times a pixel, well under the blur
	// of any lens.
	profileStepPx = 0.25
	// minEdgeRatio: paper white over ink black in the same light is 15 to 20 on
	// print; blur in a 3 px module and flare leave at least this much.
	minEdgeRatio = 1.6
)

// profile is linear light 0..1 read across an edge, from reach px inside (black) to reach
// px outside (white), profileStepPx apart, by bilinear interpolation; ok is false where it
// reaches out of the photo.
func (l *lightPlane) profile(at, outward calibrate.Pixel, reachPx float64, into []float64) (v []float64, ok bool) {
	n := int(math.Round(reachPx / profileStepPx))
	into = into[:0]
	if end := float64(n) * profileStepPx; !l.holds(at.X-end*outward.X, at.Y-end*outward.Y) || !l.holds(at.X+end*outward.X, at.Y+end*outward.Y) {
		return into, false
	}
	// Steps being short, most lie between the same four pixels as the one before.
	last := -1
	var over, overNext, under, underNext float64
	for i := -n; i <= n; i++ {
		t := float64(i) * profileStepPx
		x, y := at.X+t*outward.X, at.Y+t*outward.Y
		x0, y0 := int(x), int(y)
		if k := 3 * (y0*l.w + x0); k != last {
			last = k
			row, next := l.rgb[k:k+6], l.rgb[k+3*l.w:k+3*l.w+6]
			over, overNext = l.lut[greyOf(row)], l.lut[greyOf(row[3:])]
			under, underNext = l.lut[greyOf(next)], l.lut[greyOf(next[3:])]
		}
		fx, fy := x-float64(x0), y-float64(y0)
		top, low := over*(1-fx)+overNext*fx, under*(1-fx)+underNext*fx
		into = append(into, top*(1-fy)+low*fy)
	}
	return into, true
}

// edgeLevels returns the mean of a profile's inner and outer quarter.
func edgeLevels(v []float64) (black, white float64) {
	q := max(1, len(v)/4)
	for i := range q {
		black += v[i]
		white += v[len(v)-1-i]
	}
	return black / float64(q), white / float64(q)
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
