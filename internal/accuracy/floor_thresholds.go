package accuracy

import (
	"math"

	"rowlight/internal/pipeline"
)

const (
	// logBins over the log of light from darkest to 1: steps of 3 %.
	logBins = 256
	// darkest light told apart: code 3 of sRGB.
	darkest = 0.001
	// normalRounds bring the two normals to rest on all practice photos.
	normalRounds = 100
)

// logBin is the place of a light among logBins.
func logBin(light float64) int {
	at := 1 - math.Log(math.Max(light, darkest))/math.Log(darkest)
	return min(max(int(at*logBins), 0), logBins-1)
}

func logHistogram(light []float64) []float64 {
	h := make([]float64, logBins)
	for _, l := range light {
		h[logBin(l)]++
	}
	return h
}

// above is the share of ground whose luminance lies above a method's split.
func above(f pipeline.FloorLight, split func([]float64) int) float64 {
	cut := split(logHistogram(f.Luminance))
	return weighted(f, func(light float64) float64 {
		if logBin(light) > cut {
			return 1
		}
		return 0
	})
}

// otsu returns the last bin of the lower class (Otsu 1979, IEEE Trans. SMC 9:62).
func otsu(h []float64) int {
	return bestSplit(h, func(a, b classSums) float64 { return a.n * b.n * (a.mean() - b.mean()) * (a.mean() - b.mean()) })
}

// kittler returns the last bin of the lower class by minimum error (Kittler and
// Illingworth 1986, Pattern Recognition 19:41).
func kittler(h []float64) int {
	return bestSplit(h, func(a, b classSums) float64 {
		if a.variance() <= 0 || b.variance() <= 0 {
			return math.Inf(-1)
		}
		n := a.n + b.n
		return -minimumError(a.n/n, b.n/n, a.variance(), b.variance())
	})
}

func minimumError(p1, p2, v1, v2 float64) float64 {
	return 1 + p1*math.Log(v1) + p2*math.Log(v2) - 2*(p1*math.Log(p1)+p2*math.Log(p2))
}

type classSums struct{ n, x, xx float64 }

func (c classSums) mean() float64     { return c.x / c.n }
func (c classSums) variance() float64 { return c.xx/c.n - c.mean()*c.mean() }

// bestSplit tries every split of a histogram.
func bestSplit(h []float64, score func(a, b classSums) float64) int {
	var all classSums
	for i, n := range h {
		x := float64(i)
		all.n, all.x, all.xx = all.n+n, all.x+n*x, all.xx+n*x*x
	}
	best, at := math.Inf(-1), 0
	var a classSums
	for i, n := range h[:len(h)-1] {
		x := float64(i)
		a.n, a.x, a.xx = a.n+n, a.x+n*x, a.xx+n*x*x
		b := classSums{all.n - a.n, all.x - a.x, all.xx - a.xx}
		if a.n <= 0 || b.n <= 0 {
			continue
		}
		if s := score(a, b); s > best {
			best, at = s, i
		}
	}
	return at
}

// normals are two normal distributions over the bins.
type normals struct{ mean, variance, weight [2]float64 }

// twoNormals is the expected share of ground under the brighter of two normal
// distributions of log luminance.
func twoNormals(f pipeline.FloorLight) float64 {
	m := fitNormals(logHistogram(f.Luminance))
	return weighted(f, func(light float64) float64 { return m.brighter(float64(logBin(light))) })
}

// fitNormals fits by expectation-maximisation (Dempster, Laird and Rubin 1977) from
// Otsu's split.
func fitNormals(h []float64) normals {
	cut := otsu(h)
	var m normals
	var r [2]classSums
	for i, n := range h {
		k := 0
		if i > cut {
			k = 1
		}
		r[k].addAt(float64(i), n)
	}
	m.update(r)
	for range normalRounds {
		r = [2]classSums{}
		for i, n := range h {
			x := float64(i)
			b := m.brighter(x)
			r[0].addAt(x, n*(1-b))
			r[1].addAt(x, n*b)
		}
		m.update(r)
	}
	return m
}

func (c *classSums) addAt(x, n float64) { c.n, c.x, c.xx = c.n+n, c.x+n*x, c.xx+n*x*x }

func (m *normals) update(r [2]classSums) {
	const leastVariance = 1.0 / 12 // a bin's own
	total := r[0].n + r[1].n
	for k, c := range r {
		if c.n <= 0 {
			m.weight[k] = 0
			continue
		}
		m.mean[k], m.variance[k], m.weight[k] = c.mean(), math.Max(c.variance(), leastVariance), c.n/total
	}
}

// brighter is the chance that a value belongs to the second distribution.
func (m *normals) brighter(x float64) float64 {
	var d [2]float64
	for k := range d {
		if m.weight[k] > 0 {
			z := x - m.mean[k]
			d[k] = m.weight[k] / math.Sqrt(m.variance[k]) * math.Exp(-z*z/(2*m.variance[k]))
		}
	}
	if d[0]+d[1] <= 0 {
		return 0
	}
	return d[1] / (d[0] + d[1])
}

// weighted is the mean over the ground of a value that hangs on luminance.
func weighted(f pipeline.FloorLight, value func(light float64) float64) float64 {
	var sum, area float64
	for i, l := range f.Luminance {
		sum += f.AreaM2[i] * value(l)
		area += f.AreaM2[i]
	}
	if area == 0 {
		return 0
	}
	return sum / area
}
