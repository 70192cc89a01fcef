package calibrate

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// residuals are in units of their noise: corners of the first photo, of the
// second, the priors, the matches.
func (p *pairProblem) residuals(q *PairPose) []float64 {
	out := make([]float64, 0, p.size())
	for i, half := range [2]*poseProblem{p.first, p.second} {
		pose := [2]*BoardPose{q.First, q.Second}[i]
		out = append(out, half.residuals(pose)[:2*len(half.points)]...)
	}
	out = append(out, p.first.focalPrior(q.First), p.bendPrior(q.First))
	if h := p.first.opt.CameraHeightPrior; h.SDM > 0 {
		out = append(out, h.residual(q.First), h.residual(q.Second))
	}
	e := newEpipolar(q)
	for _, m := range p.matches {
		out = append(out, e.distancePx(m)/p.sdPx)
	}
	return out
}

// bendPrior holds K1 near what is known of it.
func (p *pairProblem) bendPrior(b *BoardPose) float64 {
	return (b.Camera.K1 - p.first.cam.K1) / p.bendSD
}

func (p *pairProblem) size() int {
	return p.known() + len(p.matches)
}

// known counts the rows before the matches': corners and priors.
func (p *pairProblem) known() int {
	n := 2*(len(p.first.points)+len(p.second.points)) + 2
	if p.first.opt.CameraHeightPrior.SDM > 0 {
		n += 2
	}
	return n
}

// weights are Huber's for corners and Cauchy's for matches (a wrong match may lie
// anywhere).
func (p *pairProblem) weights(r []float64) []float64 {
	w := make([]float64, len(r))
	corners := len(p.first.points) + len(p.second.points)
	for i := range corners {
		d := math.Hypot(r[2*i], r[2*i+1]) / math.Sqrt2
		k := math.Min(1, huberK/math.Max(d, 1e-12))
		w[2*i], w[2*i+1] = k, k
	}
	for i := 2 * corners; i < p.known(); i++ {
		w[i] = 1
	}
	for i := p.known(); i < len(r); i++ {
		w[i] = 1 / (1 + r[i]*r[i]/(cauchyC*cauchyC))
	}
	return w
}

// cauchyC: 95 % efficiency on normal noise (Holland and Welsch 1977, from memory).
const cauchyC = 2.385

func (p *pairProblem) cost(q *PairPose) float64 {
	r := p.residuals(q)
	corners := len(p.first.points) + len(p.second.points)
	var sum float64
	for i := range corners {
		d := math.Hypot(r[2*i], r[2*i+1]) / math.Sqrt2
		if d <= huberK {
			sum += 2 * d * d
		} else {
			sum += 2 * (2*huberK*d - huberK*huberK)
		}
	}
	for _, v := range r[2*corners : p.known()] {
		sum += v * v
	}
	for _, v := range r[p.known():] {
		sum += cauchyC * cauchyC * math.Log1p(v*v/(cauchyC*cauchyC))
	}
	return sum
}

func (p *pairProblem) normalEquations(q *PairPose) (*mat.SymDense, *mat.VecDense) {
	r := p.residuals(q)
	jac := columns(pairFitted, r, func(i int) []float64 {
		var d [pairParams]float64
		d[i] = finiteDifferenceRel
		return p.residuals(q.Moved(d))
	})
	return normalOf(jac, p.weights(r), r)
}

// noisePx is the matches' own noise about their lines, from the median of those
// within matchCutSD of the loss as it is set, and how many these are.
func (p *pairProblem) noisePx(q *PairPose) (sdPx float64, count int) {
	e := newEpipolar(q)
	var d []float64
	for _, m := range p.matches {
		if v := math.Abs(e.distancePx(m)); v < matchCutSD*p.sdPx {
			d = append(d, v)
		}
	}
	if len(d) == 0 {
		return 0, 0
	}
	sort.Float64s(d)
	return madToNormal * d[len(d)/2], len(d)
}

// finish fills the covariance; corners that fit worse than the noise assumed
// widen it.
func (p *pairProblem) finish(q *PairPose) {
	r := p.residuals(q)
	corners := 2 * (len(p.first.points) + len(p.second.points))
	w := p.weights(r)
	var chi2 float64
	for i := range corners {
		chi2 += w[i] * r[i] * r[i]
	}
	p.sdPx *= math.Sqrt(1 + float64(q.Matches)/matchesTogether)
	inflate := math.Max(1, chi2/math.Max(1, float64(corners-pairFitted+1)))
	normal, _ := p.normalEquations(q)
	if inv, ok := inverse(normal); ok {
		for i := range pairFitted {
			for j := range pairFitted {
				q.Cov[i][j] = inv.At(i, j) * inflate
			}
		}
	}
	sd := p.first.opt.BoardScaleRelSD
	q.Cov[pairScale][pairScale] = sd * sd
	q.First.Cov, q.Second.Cov = q.covOf(0), q.covOf(poseOnly)
	q.First.RMSPx, q.Second.RMSPx = p.first.rmsPx(q.First), p.second.rmsPx(q.Second)
}

// epipolar judges matches under a pair's pose.
type epipolar struct {
	first, second Camera
	e             Mat3 // essential matrix: x2' E x1 = 0 for directions x1, x2
}

func newEpipolar(q *PairPose) epipolar {
	r, t := q.Relative()
	t = t.Unit() // the step's length does not move the lines
	cross := Mat3{{0, -t[2], t[1]}, {t[2], 0, -t[0]}, {-t[1], t[0], 0}}
	return epipolar{q.First.Camera, q.Second.Camera, cross.Mul(r)}
}

// distancePx is Sampson's distance of a match from the epipolar constraint, with
// its sign, in pixels (of a lens without distortion).
func (e epipolar) distancePx(m Match) float64 {
	x1, x2 := e.first.Ray(m.First), e.second.Ray(m.Second)
	l2 := e.e.MulVec(x1)
	l1 := e.e.T().MulVec(x2)
	n := l1[0]*l1[0] + l1[1]*l1[1] + l2[0]*l2[0] + l2[1]*l2[1]
	if n == 0 {
		return 0
	}
	return x2.Dot(l2) / math.Sqrt(n) * e.first.FPx
}

// covOf is one photo's own share of the covariance, its pose beginning at row from.
func (p *PairPose) covOf(from int) (cov [paramCount][paramCount]float64) {
	var row [paramCount]int
	for i := range poseOnly {
		row[i] = from + i
	}
	row[poseOnly], row[poseOnly+1] = pairFocal, pairScale
	for i, a := range row {
		for j, b := range row {
			cov[i][j] = p.Cov[a][b]
		}
	}
	return cov
}
