package floorlight

import (
	"math"

	"rowlight/vision"
)

// mixture is the split of a floor's log light: shade and sun as normal
// distributions (reflectance is about log-normal), and between them penumbra, a
// comb of fixed fractions f at log((1-f)e^shade + f e^sun).
type mixture struct {
	shade, sun float64                    // means of the log light
	sd         float64                    // of the floor's own light and dark, in sun and shade alike
	weight     [2 + penumbraTeeth]float64 // shade, sun, penumbra
	score      float64                    // log likelihood a pixel, prior included
}

const (
	penumbraTeeth = 8
	// priorContrast and priorSD: sun to shade is 5 to 20 under a canopy on a clear
	// day, less in haze and beside a tree (trade notes 1.5, computed from clear-sky
	// diffuse shares); in green and blue light, of which the shade has more, 8 times
	// or over 1.57. It weighs as much as priorWeight of the pixels, so it speaks
	// only where one of the two lights hardly shows.
	priorContrast = 8.0
	priorSD       = 0.45
	priorWeight   = 0.003
	// leastSD and mostSD hold the spread of a floor's reflectance at the grain's
	// scale: even soil 0.15, litter and mulch 0.3 to 0.6.
	leastSD, mostSD = 0.12, 1.0
	histogramBins   = 120
	mixtureRounds   = 40
	weightFloor     = 1e-4
	startSD         = 0.4
	startGap        = 1.1 // ln 3: the least contrast that counts as sun
)

// penumbraFractions are the comb's teeth: denser where a step in f moves the
// log most.
func penumbraFractions() [penumbraTeeth]float64 {
	return [penumbraTeeth]float64{.03, .08, .15, .25, .38, .52, .68, .84}
}

// shadeStarts are the shares of shade that the fit is started from; the best
// end wins.
func shadeStarts() []float64 { return []float64{.1, .4, .7, .93} }

// fitMixture fits by expectation-maximisation on a histogram (Dempster, Laird
// and Rubin 1977) of the log light of all pixels.
func fitMixture(t *vision.Tally) mixture {
	n := t.Count()
	h := newHistogram(t, t.Rank(n/2000)-0.1, t.Rank(n-1-n/2000)+0.1)
	best := mixture{score: math.Inf(-1)}
	for _, q := range shadeStarts() {
		m := startMixture(q, t.Rank(int(q/2*float64(n-1))), t.Rank(int((1+q)/2*float64(n-1))))
		for range mixtureRounds - 1 {
			m.step(h, false)
		}
		m.step(h, true)
		if m.score > best.score {
			best = m
		}
	}
	return best
}

// histogram is how much of the floor lies about each of evenly spaced places.
type histogram struct {
	x, p  [histogramBins]float64
	width float64
}

// newHistogram counts from lo to hi; what lies beyond falls in the end bins.
func newHistogram(t *vision.Tally, lo, hi float64) *histogram {
	h := &histogram{width: (hi - lo) / histogramBins}
	for i := range h.x {
		h.x[i] = lo + (float64(i)+0.5)*h.width
	}
	share := 1 / float64(t.Count())
	t.Each(func(at float64, n uint32) {
		i := min(max(int((at-lo)/h.width), 0), histogramBins-1)
		h.p[i] += float64(n) * share
	})
	return h
}

// startMixture takes the middle of the darker shadeShare for shade and that of the rest
// for sun.
func startMixture(shadeShare, shade, sun float64) mixture {
	m := mixture{sd: startSD, shade: shade, sun: math.Max(sun, shade+startGap)}
	m.weight[0], m.weight[1] = shadeShare, 0.6*(1-shadeShare)
	for k := range penumbraTeeth {
		m.weight[2+k] = 0.4 * (1 - shadeShare) / penumbraTeeth
	}
	return m
}

// means are where each component's normal has its middle.
func (m *mixture) means() (at [2 + penumbraTeeth]float64) {
	at[0], at[1] = m.shade, m.sun
	es, eu := math.Exp(m.shade), math.Exp(m.sun)
	for k, f := range penumbraFractions() {
		at[2+k] = math.Log((1-f)*es + f*eu)
	}
	return at
}

// density returns each component's weighted density at x, but for 1/sqrt(2 pi).
func (m *mixture) density(x float64, means *[2 + penumbraTeeth]float64) (d [2 + penumbraTeeth]float64) {
	per := 1 / m.sd
	for k, mean := range means {
		z := (x - mean) * per
		d[k] = m.weight[k] * math.Exp(-0.5*z*z) * per
	}
	return d
}

// densities are each component's weighted density at the histogram's places.
type densities [2 + penumbraTeeth][histogramBins]float64

// fill is density at every place of a histogram. From the place nearest a component's mean
// on to either side each number is the last one's times a ratio, which itself shrinks by
// one and the same ratio: a normal's logarithm is a parabola.
func (d *densities) fill(m *mixture, h *histogram) {
	per := 1 / m.sd
	step := h.width * per
	shrink := math.Exp(-step * step)
	for k, mean := range m.means() {
		top := min(max(int(math.Round((mean-h.x[0])/h.width)), 0), histogramBins-1)
		z := (h.x[top] - mean) * per
		d[k][top] = m.weight[k] * per * math.Exp(-0.5*z*z)
		side := math.Exp(-0.5 * step * step)
		lean := math.Exp(-z * step)
		v, ratio := d[k][top], side*lean
		for i := top + 1; i < histogramBins; i++ {
			v *= ratio
			ratio *= shrink
			d[k][i] = v
		}
		v, ratio = d[k][top], side/lean
		for i := top - 1; i >= 0; i-- {
			v *= ratio
			ratio *= shrink
			d[k][i] = v
		}
	}
}

// step is one round: shares of each bin, then new weights, means and spreads; score is
// worked out where it is asked for.
func (m *mixture) step(h *histogram, scored bool) {
	var d densities
	d.fill(m, h)
	total := [histogramBins]float64{}
	for i := range total {
		total[i] = 1e-300
	}
	for k := range d {
		for i, v := range d[k] {
			total[i] += v
		}
	}
	if scored {
		m.score = m.scoreOf(h, &total)
	}
	for i, t := range total { // from here on, the bin's share over the density
		total[i] = h.p[i] / t
	}
	var w [2 + penumbraTeeth]float64
	for k := range d {
		var even, odd float64 // two sums, so that one addition need not wait for the last
		for i := 0; i < histogramBins; i += 2 {
			even += total[i] * d[k][i]
			odd += total[i+1] * d[k][i+1]
		}
		w[k] = even + odd
	}
	var sum, square [2]float64
	for k := range 2 {
		for i, x := range h.x {
			r := total[i] * d[k][i]
			sum[k] += r * x
			square[k] += r * x * x
		}
	}
	m.update(w, sum, square)
}

// scoreOf is the log likelihood a pixel under the total density, with the priors.
func (m *mixture) scoreOf(h *histogram, total *[histogramBins]float64) float64 {
	score := 0.0
	for i, t := range total {
		score += h.p[i] * math.Log(t)
	}
	z := (m.sun - m.shade - math.Log(priorContrast)) / priorSD
	return score - priorWeight*0.5*z*z + m.shapeScore()
}

func (m *mixture) update(w [2 + penumbraTeeth]float64, sum, square [2]float64) {
	m.shade = sum[0] / (w[0] + 1e-12)
	sunMean := sum[1] / (w[1] + 1e-12)
	// One spread for both: the floor is the same in sun and shade.
	a := spreadOf(w[0], m.shade, sum[0], square[0])
	b := spreadOf(w[1], sunMean, sum[1], square[1])
	ka, kb := w[0]+weightFloor, w[1]+weightFloor
	m.sd = math.Sqrt((ka*a*a + kb*b*b) / (ka + kb))
	prior := priorWeight / (priorSD * priorSD)
	data := w[1] / (m.sd * m.sd)
	m.sun = (sunMean*data + prior*(m.shade+math.Log(priorContrast))) / (data + prior)
	m.weight = smoothComb(drawnToShape(w))
}

// litShape is how light lies between shade and sun on sunny floors: penumbra by
// tooth, then full sun, as shares of all that is not full shade.
func litShape(sun float64) (shape [1 + penumbraTeeth]float64) {
	sum := 0.0
	at := penumbraFractions()
	for k, f := range at {
		lo, hi := 0.02, 0.95
		if k > 0 {
			lo = (at[k-1] + f) / 2
		}
		if k+1 < penumbraTeeth {
			hi = (at[k+1] + f) / 2
		}
		shape[1+k] = (hi - lo) / (f + shapeOffset)
		sum += shape[1+k]
	}
	for k := range at {
		shape[1+k] *= (1 - sun) / sum
	}
	shape[0] = sun
	return shape
}

const (
	// How light lies between shade and sun was seen in the truth of 22 rendered
	// floors: of what is lit at all, the thinnest penumbra is commonest, falling
	// off as 1/(f + shapeOffset); full sun is a tenth where little is lit and
	// nearly all where nearly all is.
	shapeOffset           = 0.12
	shapeSun, shapeAllSun = 0.1, 0.9
	// shapeWeight is what that counts for, as a share of the lit pixels.
	shapeWeight = 0.15
)

// shapeFor returns full sun's share of what is lit, and what the shape weighs:
// less where much is lit, since the sun's level then shows by itself.
func shapeFor(lit float64) (sun, weight float64) {
	return shapeSun + (shapeAllSun-shapeSun)*lit*lit*lit, shapeWeight * (1 - lit)
}

// drawnToShape moves the weights of what is lit toward that shape.
func drawnToShape(w [2 + penumbraTeeth]float64) [2 + penumbraTeeth]float64 {
	lit := 0.0
	for _, v := range w[1:] {
		lit += v
	}
	sun, weight := shapeFor(lit)
	shape := litShape(sun)
	for k := range shape {
		w[1+k] = (w[1+k] + weight*lit*shape[k]) / (1 + weight)
	}
	return w
}

// shapeScore is the log of how likely the weights are under that shape.
func (m *mixture) shapeScore() float64 {
	lit := 0.0
	for _, v := range m.weight[1:] {
		lit += v
	}
	total := 0.0
	sun, weight := shapeFor(lit)
	for k, p := range litShape(sun) {
		total += p * math.Log((m.weight[1+k]/lit+1e-9)/p)
	}
	return weight * lit * total
}

func spreadOf(w, mean, sum, square float64) float64 {
	v := (square - 2*mean*sum + mean*mean*w) / (w + 1e-12)
	return math.Max(leastSD, math.Min(mostSD, math.Sqrt(math.Max(v, 0))))
}

// smoothComb evens out the penumbra's weights, half with their neighbours' mean
// (1 2 1), so that no tooth stands in for a kind of leaf; all stay above 0.
func smoothComb(w [2 + penumbraTeeth]float64) (out [2 + penumbraTeeth]float64) {
	out[0], out[1] = w[0], w[1]
	for k := range penumbraTeeth {
		here, left, right := w[2+k], w[2+max(k-1, 0)], w[2+min(k+1, penumbraTeeth-1)]
		out[2+k] = 0.75*here + 0.125*left + 0.125*right
	}
	total := 0.0
	for k := range out {
		out[k] += weightFloor
		total += out[k]
	}
	for k := range out {
		out[k] /= total
	}
	return out
}

// fractionTable maps log light from low on, in steps, to the expected fraction, never
// falling: 0 at low and under, 1 beyond.
type fractionTable struct {
	low, step float64
	f         []float32
}

const tableSteps = 400

func (m *mixture) table() fractionTable {
	t := fractionTable{low: m.shade, step: (m.sun - m.shade) / tableSteps, f: make([]float32, 1, tableSteps+2)}
	means := m.means()
	for i := range tableSteps {
		d := m.density(m.shade+float64(i)*t.step, &means)
		mean, total := d[1], d[0]+d[1]+1e-300
		for k, f := range penumbraFractions() {
			mean += f * d[2+k]
			total += d[2+k]
		}
		t.f = append(t.f, max(float32(mean/total), t.f[i]))
	}
	t.f = append(t.f, 1)
	return t
}

// fractions looks up a raster of log light.
func (t fractionTable) fractions(log, out []float32) { vision.LookUp(log, t.low, t.step, t.f, out) }
