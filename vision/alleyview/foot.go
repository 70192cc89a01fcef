package alleyview

import (
	"math"

	"rowlight/calibrate"
)

// FootScore is how much a trunk seems to stand at a place of the floor: foot
// and top are the pixels of the trunk's middle line at the ground and a little
// above, widthPx its width. It is how much greyer (ln of blue over green) the
// strip between them is than the strips to both sides and than the floor just
// before the foot: 0 or less is no trunk, about 0.5 and more a plain one. ok is
// false where the strip does not lie in the photo.
func (v *View) FootScore(foot, top calibrate.Pixel, widthPx float64) (score float64, ok bool) {
	const along = 6
	var in, left, right float64
	for k := range along {
		t := (float64(k) + 0.5) / along
		p := calibrate.Pixel{X: foot.X + t*(top.X-foot.X), Y: foot.Y + t*(top.Y-foot.Y)}
		mid, ok1 := v.greyMean(p, 0, 0.3*widthPx)
		l, ok2 := v.greyMean(p, -1.1*widthPx, 0.2*widthPx)
		r, ok3 := v.greyMean(p, 1.1*widthPx, 0.2*widthPx)
		if !ok1 || !ok2 || !ok3 {
			return 0, false
		}
		in, left, right = in+mid/along, left+l/along, right+r/along
	}
	drop := (foot.Y - top.Y) * 0.25
	before, ok := v.greyMean(calibrate.Pixel{X: foot.X, Y: foot.Y + drop}, 0, 0.6*widthPx)
	if !ok {
		return 0, false
	}
	// The weakest of the contrasts counts: a leaf beside or before the
	// strip makes it no trunk that can be placed.
	return math.Min(in-math.Max(left, right), in-before) / 2, true
}

// greyMean averages Grey over a short row of pixels centred dx beside p.
func (v *View) greyMean(p calibrate.Pixel, dx, half float64) (float64, bool) {
	f := float64(v.Factor)
	y := int(math.Floor((p.Y + 0.5) / f))
	lo := int(math.Floor((p.X + dx - half + 0.5) / f))
	hi := int(math.Floor((p.X + dx + half + 0.5) / f))
	if y < 0 || y >= v.H || lo < 0 || hi >= v.W || hi-lo > v.W {
		return 0, false
	}
	var s float64
	for x := lo; x <= hi; x++ {
		s += float64(v.Grey[y*v.W+x])
	}
	return s / float64(hi-lo+1), true
}

// OpenShare is the share of a straight line between two pixels that shows open
// floor (or a board); the part outside the photo does not count.
func (v *View) OpenShare(from, to calibrate.Pixel) float64 {
	const steps = 40
	open, n := 0.0, 0.0
	for k := range steps {
		t := (float64(k) + 0.5) / steps
		c, ok := v.AtPhoto(calibrate.Pixel{X: from.X + t*(to.X-from.X), Y: from.Y + t*(to.Y-from.Y)})
		if !ok {
			continue
		}
		n++
		if c == Floor || c == Board {
			open++
		}
	}
	if n == 0 {
		return 0
	}
	return open / n
}
