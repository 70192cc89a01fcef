package alleyview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// footChannels: ln luminance, ln red over green, ln blue over green.
const footChannels = 3

// footPlate is the photo's light and colour, summed along each row, so that the
// mean of any stretch of a row costs two looks.
type footPlate struct {
	w, h int
	sum  [footChannels][]float32 // (w+1) x h
}

func newFootPlate(l *vision.Linear) footPlate {
	f := footPlate{w: l.W, h: l.H}
	for c := range f.sum {
		f.sum[c] = make([]float32, (l.W+1)*l.H)
	}
	ln := logsOf(l, footDark)
	for y := range l.H {
		var light, red, blue float32
		at := y*(l.W+1) + 1
		for i := y * l.W; i < (y+1)*l.W; i++ {
			light, red, blue = light+ln.lum[i], red+(ln.r[i]-ln.g[i]), blue+(ln.b[i]-ln.g[i])
			f.sum[0][at], f.sum[1][at], f.sum[2][at] = light, red, blue
			at++
		}
	}
	return f
}

// footDark keeps noise in the dark from ruling the colours: an 8-bit step or two
// at the low end of the tone curve.
const footDark = 4e-3

// mean is the mean colour of the stretch lo..hi of a row, ends included.
func (f *footPlate) mean(y, lo, hi int) (m [footChannels]float64) {
	at := y * (f.w + 1)
	per := 1 / float64(hi-lo+1)
	for c := range m {
		m[c] = float64(f.sum[c][at+hi+1]-f.sum[c][at+lo]) * per
	}
	return m
}

const (
	// footRows is how many rows of the strip are looked at; rows next to each
	// other share leaves and grain, so that half of them count.
	footRows = 8
	// The strip's own half width, and the place and half width of what lies beside
	// it, as shares of the trunk's width: clear of the round bark's dim rim.
	footHalf, footBeside, footBesideHalf = 0.32, 0.95, 0.25
	// Differences under these (ln units) are grain, bark's own pattern or
	// uneven floor: light varies, colour hardly.
	footLightSD, footColourSD = 0.12, 0.04
)

// FootScore is how plainly a trunk seems to stand on the floor: foot and top are
// the pixels of its middle line at the ground and a little above, widthPx its
// width. The strip between them must differ, all the way up, from what lies to
// its left and to its right, and from the floor just before the foot; the score
// is the weakest of the three differences, in standard errors of the mean of the
// strip's rows. Grain gives about 1; ok is false where the strip does not lie in
// the photo. Scores up to least are of no use and may come out as 0.
func (v *View) FootScore(foot, top calibrate.Pixel, widthPx, least float64) (score float64, ok bool) {
	var left, right, inner, before spread
	for k := range footRows {
		t := (float64(k) + 0.5) / footRows
		p := calibrate.Pixel{X: foot.X + t*(top.X-foot.X), Y: foot.Y + t*(top.Y-foot.Y)}
		mid, ok1 := v.footMean(p, 0, footHalf*widthPx)
		l, ok2 := v.footMean(p, -footBeside*widthPx, footBesideHalf*widthPx)
		r, ok3 := v.footMean(p, footBeside*widthPx, footBesideHalf*widthPx)
		low := calibrate.Pixel{X: foot.X, Y: foot.Y + (0.15+0.5*t)*(foot.Y-top.Y)}
		b, ok4 := v.footMean(low, 0, footHalf*widthPx)
		if !ok1 || !ok2 || !ok3 || !ok4 {
			return 0, false
		}
		left.add(mid, l)
		right.add(mid, r)
		inner.add(mid, [footChannels]float64{})
		before.add(b, [footChannels]float64{})
	}
	if score = weakest(&left, &right, &inner, &before); score <= least {
		return 0, true
	}
	return score * v.bareShare(foot, top, widthPx), true
}

// leafOdds is the mean ln(canopy : floor) of a strip at which it is a hanging
// twig and no trunk; bark has the colours of neither and lies about 0 or under.
const leafOdds = 2.0

// bareShare is how little a strip looks like leaves, 0..1, by colour; 0 where a
// board stands in it or beside it.
func (v *View) bareShare(foot, top calibrate.Pixel, widthPx float64) float64 {
	var sum, n float64
	for k := range footRows {
		t := (float64(k) + 0.5) / footRows
		for _, d := range [5]float64{-footBeside, -footHalf, 0, footHalf, footBeside} {
			i, ok := v.index(calibrate.Pixel{X: foot.X + t*(top.X-foot.X) + d*widthPx, Y: foot.Y + t*(top.Y-foot.Y)})
			if !ok || v.Class[i] == Board {
				return 0
			}
			if math.Abs(d) <= footHalf {
				sum += float64(v.Odds[i])
				n++
			}
		}
	}
	return math.Max(0, math.Min(1, 1-sum/n/leafOdds))
}

// spread sums differences of colours over rows.
type spread struct {
	n    float64
	s, q [footChannels]float64
}

func (s *spread) add(a, b [footChannels]float64) {
	s.n++
	for c := range a {
		d := a[c] - b[c]
		s.s[c] += d
		s.q[c] += d * d
	}
}

// mean and the squared error of the mean.
func (s *spread) mean(c int) (m, v float64) {
	m = s.s[c] / s.n
	return m, math.Max(0, s.q[c]/s.n-m*m) / (s.n/2 - 1)
}

// meanError is a mean difference and the squared error of it.
type meanError struct{ mean, square float64 }

func (s *spread) at(c int) (m meanError) {
	m.mean, m.square = s.mean(c)
	return m
}

func (m meanError) less(o meanError) meanError {
	return meanError{m.mean - o.mean, m.square + o.square}
}

// contrast is a mean difference in its standard errors.
func (m meanError) contrast(c int) float64 {
	sd := footColourSD
	if c == 0 {
		sd = footLightSD
	}
	return m.mean / math.Sqrt(m.square+sd*sd)
}

// weakest pools, over the channels, the weakest of three contrasts: a strip's to its left,
// to its right and to what lies before it. One that changes its sign from one neighbour to
// the next is an edge and no strip.
func weakest(left, right, inner, before *spread) float64 {
	var sum float64
	for c := range footChannels {
		l, r := left.at(c), right.at(c)
		below := inner.at(c).less(before.at(c))
		if l.mean*r.mean <= 0 || l.mean*below.mean <= 0 {
			continue
		}
		k := math.Min(math.Abs(l.contrast(c)), math.Min(math.Abs(r.contrast(c)), math.Abs(below.contrast(c))))
		sum += k * k
	}
	return math.Sqrt(sum)
}

// footMean averages a short row of pixels centred dx beside p.
func (v *View) footMean(p calibrate.Pixel, dx, half float64) (m [footChannels]float64, ok bool) {
	perPx := 1 / float64(v.Factor)
	x := (p.X + dx + 0.5) * perPx
	half *= perPx
	y, lo, hi := int(math.Floor((p.Y+0.5)*perPx)), int(math.Floor(x-half)), int(math.Floor(x+half))
	if y < 0 || y >= v.H || lo < 0 || hi >= v.W || hi < lo {
		return m, false
	}
	return v.plate.mean(y, lo, hi), true
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
