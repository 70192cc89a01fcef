package vision

import (
	"math"

	"rowlight/calibrate"
)

// offsetLine is an edge near a straight guide: at s px along the guide it lies
// a + b*s px outward.
type offsetLine struct {
	a, b    float64
	inliers int
}

const (
	// lineGatePx: an edge point further than this from the line, or than three
	// robust deviations where the photo is noisier, was moved by a sun patch.
	lineGatePx = 0.35
	// madToSD turns a median absolute deviation into a standard deviation
	// (normal distribution).
	madToSD = 1.4826
	// maxLinePairs bounds the search over pairs of points.
	maxLinePairs = 200
)

// fitOffsets fits a line to offsets d at places s by least median of squares
// over pairs (Rousseeuw 1984, from memory: half of the points may be wild), then
// least squares over the points it keeps. Under four points give no line.
func fitOffsets(s, d []float64) (offsetLine, bool) {
	if len(s) < 4 {
		return offsetLine{}, false
	}
	best, bestMed := offsetLine{}, math.Inf(1)
	res := make([]float64, len(s))
	stride := max(1, len(s)*(len(s)-1)/2/maxLinePairs)
	minSpan := (s[len(s)-1] - s[0]) / 4
	for k, i := 0, 0; i < len(s); i++ {
		for j := i + 1; j < len(s); j++ {
			if k++; k%stride != 0 || s[j]-s[i] < minSpan {
				continue
			}
			b := (d[j] - d[i]) / (s[j] - s[i])
			line := offsetLine{a: d[i] - b*s[i], b: b}
			if m, ok := line.medianUnder(bestMed, s, d, res); ok {
				best, bestMed = line, m
			}
		}
	}
	if math.IsInf(bestMed, 1) {
		return offsetLine{}, false
	}
	return best.leastSquares(s, d, math.Max(lineGatePx, 3*madToSD*bestMed))
}

// medianUnder is the median of the residuals if it is under a limit, which most lines'
// many points over it tell long before a median.
func (o offsetLine) medianUnder(limit float64, s, d, scratch []float64) (median float64, ok bool) {
	spare := len(s) - len(s)/2 - 1 // so many may be over it
	for i := range s {
		r := math.Abs(d[i] - o.a - o.b*s[i])
		if scratch[i] = r; !(r < limit) {
			if spare--; spare < 0 {
				return 0, false
			}
		}
	}
	return middle(scratch), true
}

// middle is the median of v, the upper one of two; v, not empty, is moved about.
func middle(v []float64) float64 { return Nth(v, len(v)/2) }

// leastSquares refits the line to the points within gate px of it.
func (o offsetLine) leastSquares(s, d []float64, gate float64) (offsetLine, bool) {
	var n, ss, sd, s2, sxd float64
	for i := range s {
		if math.Abs(d[i]-o.a-o.b*s[i]) > gate {
			continue
		}
		n++
		ss += s[i]
		sd += d[i]
		s2 += s[i] * s[i]
		sxd += s[i] * d[i]
	}
	det := n*s2 - ss*ss
	if n < 4 || det <= 0 {
		return offsetLine{}, false
	}
	b := (n*sxd - ss*sd) / det
	return offsetLine{a: (sd - b*ss) / n, b: b, inliers: int(n)}, true
}

// line2 is a straight line through p along the unit vector dir.
type line2 struct{ p, dir calibrate.Pixel }

// meet returns where two lines cross; ok is false for near parallels (under
// about 6 degrees), which no marker's neighbouring sides are.
func (l line2) meet(m line2) (calibrate.Pixel, bool) {
	det := l.dir.X*m.dir.Y - l.dir.Y*m.dir.X
	if math.Abs(det) < 0.1 {
		return calibrate.Pixel{}, false
	}
	d := m.p.Sub(l.p)
	t := (d.X*m.dir.Y - d.Y*m.dir.X) / det
	return calibrate.Pixel{X: l.p.X + t*l.dir.X, Y: l.p.Y + t*l.dir.Y}, true
}
