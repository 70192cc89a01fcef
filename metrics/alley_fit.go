package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns of the fit, in this order.
const (
	uDepth  = iota // ln crown half depth
	uLength        // ln crown half length
	uBase          // ln crown base
	uTop           // ln crown top
	uPerM          // ln density
	uYaw           // the rows' heading, metres to the right for each ahead
	uLeft          // the left row's line, m
	uRight         // the right row's line, m
	alleyUnknowns
)

const (
	// fogShare: so much of the sights are not as the model has them at all
	// (a leaf in another's gap, a pixel classed wrongly).
	fogShare = 0.03
	// sightsPerVote: neighbouring sights end on the same twig; so many count as
	// one: leaves hang in clusters of about half a metre, at 6 m about 5 x 5 of
	// the sights the pipeline casts, of which many are past doubt.
	sightsPerVote = 12.0
	fitRounds     = 14
	settledGain   = 0.05
)

// The practice scenes' crowns (0.8 m deep) were known when the depth's prior was
// set: deeper crowns of old orchards lie in its tail and pull the width wide.
//
// The priors, medians and relative standard deviations (natural logarithm).
// Common practice in hedged and free-standing orchards: a crown reaches 0.4 to
// 1.5 m from its trunk into the alley, and about as far as the next tree along the
// row; skirts hang to the ground or are lifted up to a metre; trees of 2 to 8 m.
const (
	priorDepthM, priorDepthSD    = 0.80, 0.30
	priorLengthShare, priorLenSD = 0.50, 0.35 // of the spacing
	priorBaseM, priorBaseSD      = 0.45, 0.70
	priorTopM, priorTopSD        = 4.0, 0.35
	priorPerM, priorPerSD        = 1.0, 0.80
	// The vanishing point's column: the far end's trees pull it by a degree or two;
	// headedYawSD is what is left once feet have set the heading.
	priorYawSD, headedYawSD = 0.05, 0.01
	// Where the rows' spacing is known, crown and open alley share the half of it:
	// crowns fill from a sixth of it (young, or hedged hard) to all of it (grown
	// together), half of it in the middle, at two standard deviations. The demo's
	// photos were known when this was set; an SD of 0.4 gives the same there.
	spacingDepthShare, spacingDepthSD = 0.5, 0.60
	// A row whose trunks are not seen stands somewhere between these.
	priorLineM, priorLineSD = 2.2, 0.9
)

type alleyFit struct {
	a        *Alley
	mean, sd [alleyUnknowns]float64
	at       [alleyUnknowns]float64
	cov      *mat.SymDense
	rays     []AlleyRay
	ties     []alleyTie
}

func newAlleyFit(a *Alley) *alleyFit {
	f := &alleyFit{a: a, rays: a.scene.Rays, ties: tiesOf(a.scene)}
	f.mean = [alleyUnknowns]float64{math.Log(priorDepthM), math.Log(priorLengthShare * a.SpacingM), math.Log(priorBaseM), math.Log(priorTopM), math.Log(priorPerM), 0, priorLineM, priorLineM}
	f.sd = [alleyUnknowns]float64{priorDepthSD, priorLenSD, priorBaseSD, priorTopSD, priorPerSD, priorYawSD, priorLineSD, priorLineSD}
	for k := range a.rows {
		if half := a.scene.RowSpacingM / 2; half > 0 {
			f.mean[uLeft+k] = half + a.rows[k].side*a.scene.BoardRightM
			f.mean[uDepth], f.sd[uDepth] = math.Log(spacingDepthShare*half), spacingDepthSD
		}
		if a.rowSDM[k] > 0 {
			f.mean[uLeft+k], f.sd[uLeft+k] = a.rows[k].lineM, a.rowSDM[k]
			f.sd[uYaw] = headedYawSD
		}
		if a.mirrored[k] {
			f.mean[uLeft+k], f.sd[uLeft+k] = a.rows[k].lineM, math.Hypot(a.rowSDM[1-k], 2*boardCentreSDM)
		}
	}
	return f
}

// model puts the unknowns into rows and a crown.
func (f *alleyFit) model(u [alleyUnknowns]float64) (rows [2]alleyRow, c crown) {
	rows = f.a.rows
	rows[0].lineM, rows[1].lineM = math.Max(u[uLeft], 0.1), math.Max(u[uRight], 0.1)
	c = crown{math.Exp(u[uDepth]), math.Exp(u[uLength]), math.Exp(u[uBase]), math.Exp(u[uTop]), math.Exp(u[uPerM])}
	c.topM = math.Max(c.topM, c.baseM+0.3)
	return rows, c
}

// chances are the model's chances of canopy, ray by ray.
func (f *alleyFit) chances(u [alleyUnknowns]float64) []float64 {
	rows, c := f.model(u)
	out := make([]float64, len(f.rays))
	for i, r := range f.rays {
		right, k := r.Right-u[uYaw], 1
		if right < 0 {
			right, k = -right, 0
		}
		out[i] = fogShare + (1-2*fogShare)*(1-f.a.open(rows[k], c, right, r.Up))
	}
	return out
}

// cost is minus the log posterior.
func (f *alleyFit) cost(u [alleyUnknowns]float64, p []float64) float64 {
	var sum float64
	for i, r := range f.rays {
		if r.Canopy {
			sum -= math.Log(p[i])
		} else {
			sum -= math.Log(1 - p[i])
		}
	}
	sum /= sightsPerVote
	for j := range u {
		d := (u[j] - f.mean[j]) / f.sd[j]
		sum += d * d / 2
	}
	for _, t := range f.ties {
		d := t.off(u)
		sum += d * d / 2
	}
	return sum
}

// run fits from two skirts, hanging and lifted, and keeps the better.
func (f *alleyFit) run() {
	best := math.Inf(1)
	var bestAt [alleyUnknowns]float64
	var bestCov *mat.SymDense
	for _, base := range []float64{0.15, 0.7} {
		u := f.mean
		u[uBase] = math.Log(base)
		at, cost, cov := f.descend(u)
		if cost < best && cov != nil {
			best, bestAt, bestCov = cost, at, cov
		}
	}
	if bestCov == nil {
		bestAt, bestCov = f.mean, mat.NewSymDense(alleyUnknowns, nil)
		for j, s := range f.sd {
			bestCov.SetSym(j, j, s*s)
		}
	}
	f.at, f.cov = bestAt, bestCov
	f.a.rows, f.a.crown = f.model(f.at)
}

// descend is Fisher scoring with Levenberg's damping.
func (f *alleyFit) descend(u [alleyUnknowns]float64) ([alleyUnknowns]float64, float64, *mat.SymDense) {
	p := f.chances(u)
	cost, lambda := f.cost(u, p), 0.01
	var info *mat.SymDense
	var grad *mat.VecDense
	fresh := true
	for range fitRounds {
		if fresh {
			info, grad = f.information(u, p)
		}
		next := f.step(u, info, grad, lambda)
		q := f.chances(next)
		c := f.cost(next, q)
		if fresh = c < cost; !fresh {
			if lambda *= 8; lambda > 1e6 {
				break
			}
			continue
		}
		gain := cost - c
		u, p, cost, lambda = next, q, c, math.Max(lambda/6, 1e-4)
		if gain < settledGain {
			break
		}
	}
	info, _ = f.information(u, p)
	var chol mat.Cholesky
	var cov mat.SymDense
	if !chol.Factorize(info) || chol.InverseTo(&cov) != nil {
		return u, cost, nil
	}
	return u, cost, &cov
}

// information is the Fisher information and the cost's gradient.
func (f *alleyFit) information(u [alleyUnknowns]float64, p []float64) (*mat.SymDense, *mat.VecDense) {
	var d [alleyUnknowns][]float64
	for j := range d {
		const h = 0.01
		v := u
		v[j] += h
		d[j] = f.chances(v)
		for i := range d[j] {
			d[j][i] = (d[j][i] - p[i]) / h
		}
	}
	info, grad := mat.NewSymDense(alleyUnknowns, nil), mat.NewVecDense(alleyUnknowns, nil)
	for j := range d {
		g := (u[j] - f.mean[j]) / (f.sd[j] * f.sd[j])
		for i, r := range f.rays {
			y := 0.0
			if r.Canopy {
				y = 1
			}
			g += (p[i] - y) * d[j][i] / (p[i] * (1 - p[i])) / sightsPerVote
		}
		grad.SetVec(j, g)
		for k := j; k < alleyUnknowns; k++ {
			var s float64
			for i := range p {
				s += d[j][i] * d[k][i] / (p[i] * (1 - p[i]))
			}
			s /= sightsPerVote
			if k == j {
				s += 1 / (f.sd[j] * f.sd[j])
			}
			info.SetSym(j, k, s)
		}
	}
	for _, t := range f.ties {
		t.pull(u, info, grad)
	}
	return info, grad
}

func (f *alleyFit) step(u [alleyUnknowns]float64, info *mat.SymDense, grad *mat.VecDense, lambda float64) [alleyUnknowns]float64 {
	damped := mat.NewSymDense(alleyUnknowns, nil)
	damped.CopySym(info)
	for j := range u {
		damped.SetSym(j, j, info.At(j, j)*(1+lambda))
	}
	var chol mat.Cholesky
	var s mat.VecDense
	if !chol.Factorize(damped) || chol.SolveVecTo(&s, grad) != nil {
		return u
	}
	for j := range u {
		// A step is at most one prior's width: the model is far from linear.
		u[j] -= math.Max(-f.sd[j], math.Min(f.sd[j], s.AtVec(j)))
	}
	return u
}
