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
	uLow           // ln exponent of the crown's side below its middle
	uHigh          // and above
	uYaw           // the rows' heading, metres to the right for each ahead
	uLeft          // the left row's line, m
	uRight         // the right row's line, m
	uSunX          // the way to the sun: metres to the right for each metre up
	uSunY          // and ahead
	alleyUnknowns
)

const (
	// fogShare: so much of the sights are not as the model has them at all
	// (a leaf in another's gap, a pixel classed wrongly).
	fogShare = 0.03
	// sightsPerVote: neighbouring sights end on the same twig; so many count as
	// one: leaves hang in clusters of about half a metre, at 6 m about 5 x 5 of
	// the sights the pipeline casts, of which many are past doubt.
	sightsPerVote = 14.0
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
	priorDepthM, priorDepthSD    = 0.85, 0.45
	priorLengthShare, priorLenSD = 0.50, 0.35 // of the spacing
	priorBaseM, priorBaseSD      = 0.45, 0.70
	priorTopM, priorTopSD        = 4.0, 0.35
	priorPerM, priorPerSD        = 1.0, 0.80
	priorSide, priorSideSD       = 3.5, 0.5 // from an egg (2) to a hedged wall (8)
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
	looks    []AlleyFloorLook
	modes    []mode
	ties     []alleyTie
}

func newAlleyFit(a *Alley) *alleyFit {
	f := &alleyFit{a: a, rays: a.scene.Rays, looks: a.scene.Floor, ties: tiesOf(a.scene)}
	f.mean = [alleyUnknowns]float64{math.Log(priorDepthM), math.Log(priorLengthShare * a.SpacingM), math.Log(priorBaseM), math.Log(priorTopM), math.Log(priorPerM), math.Log(priorSide), math.Log(priorSide), 0, priorLineM, priorLineM, 0, 0}
	f.sd = [alleyUnknowns]float64{priorDepthSD, priorLenSD, priorBaseSD, priorTopSD, priorPerSD, priorSideSD, priorSideSD, priorYawSD, priorLineSD, priorLineSD, sunSlopeSD, sunSlopeSD}
	if len(f.looks) < leastLooks {
		f.looks = nil
	}
	if n := a.scene.slopeLength(); n > 0 {
		f.sd[uSunX], f.sd[uSunY] = 2*n, 2*n
	}
	for k := range a.rows {
		if half := a.scene.RowSpacingM / 2; half > 0 {
			f.mean[uLeft+k] = half + a.rows[k].side*a.scene.BoardRightM
			f.mean[uDepth], f.sd[uDepth] = math.Log(spacingDepthShare*half), spacingDepthSD
		}
		if a.rowSDM[k] > 0 {
			f.mean[uLeft+k], f.sd[uLeft+k] = a.rows[k].lineM, a.rowSDM[k]
			f.sd[uYaw] = headedYawSD
		}
	}
	return f
}

// model puts the unknowns into rows and a crown.
func (f *alleyFit) model(u [alleyUnknowns]float64) (rows [2]alleyRow, c crown) {
	rows = f.a.rows
	rows[0].lineM, rows[1].lineM = math.Max(u[uLeft], 0.1), math.Max(u[uRight], 0.1)
	c = crown{halfDepthM: math.Exp(u[uDepth]), halfLengthM: math.Exp(u[uLength]), baseM: math.Exp(u[uBase]), topM: math.Exp(u[uTop]), perM: math.Exp(u[uPerM]), low: math.Exp(u[uLow]), high: math.Exp(u[uHigh])}
	c.topM = math.Max(c.topM, c.baseM+0.3)
	return rows, c.shaped()
}

// chances are the model's chances of canopy, ray by ray.
func (f *alleyFit) chances(u [alleyUnknowns]float64) []float64 {
	return f.lookChances(u, f.sightChances(u, nil, -1))
}

// sightChances works the chances out anew for the sights towards one row only (0
// left, 1 right) and takes the others from old; for all where row is -1.
func (f *alleyFit) sightChances(u [alleyUnknowns]float64, old []float64, row int) []float64 {
	rows, c := f.model(u)
	out := make([]float64, len(f.rays), len(f.rays)+len(f.looks))
	for i, r := range f.rays {
		right, k := r.Right-u[uYaw], 1
		if right < 0 {
			right, k = -right, 0
		}
		if row >= 0 && k != row {
			out[i] = old[i]
			continue
		}
		out[i] = fogShare + (1-2*fogShare)*(1-f.a.open(&rows[k], &c, right, r.Up))
	}
	return out
}

// lookChances appends the chances of shade, look by look.
func (f *alleyFit) lookChances(u [alleyUnknowns]float64, out []float64) []float64 {
	if len(f.looks) == 0 {
		return out
	}
	rows, c := f.model(u)
	for _, l := range f.looks {
		out = append(out, f.shadeChance(&rows, &c, l, u[uYaw], u[uSunX], u[uSunY]))
	}
	return out
}

// seen is what sight or look i ends on, and how much it counts.
func (f *alleyFit) seen(i int) (blocked bool, votes float64) {
	if i < len(f.rays) {
		return f.rays[i].Canopy, 1 / sightsPerVote
	}
	return f.looks[i-len(f.rays)].Shade, 1 / looksPerVote
}

// cost is minus the log posterior.
func (f *alleyFit) cost(u [alleyUnknowns]float64, p []float64) float64 {
	var sum float64
	for i := range p {
		blocked, votes := f.seen(i)
		if blocked {
			sum -= votes * math.Log(p[i])
		} else {
			sum -= votes * math.Log(1-p[i])
		}
	}
	ring := f.ringOff(u)
	sum += ring * ring / 2
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

// mode is a model that the fit came to rest at.
type mode struct {
	at    [alleyUnknowns]float64
	cost  float64
	cov   *mat.SymDense
	clear float64 // at the board, m
	sd    float64 // of it
}

// run fits from hanging and lifted skirts, shallow and deep crowns, and keeps all
// that it comes to rest at. evidence is what the feet say for these rows.
func (f *alleyFit) run(evidence float64) {
	for _, start := range [3][2]float64{{0.15, 0.5}, {0.4, 1.3}, {0.7, 0.6}} {
		u := f.mean
		u[uBase], u[uDepth] = math.Log(start[0]), math.Log(start[1])
		m := mode{}
		m.at, m.cost, m.cov = f.descend(f.faceSun(u))
		if m.cov == nil {
			continue
		}
		f.settle(&m)
		m.cost -= evidence
		f.modes = append(f.modes, m)
	}
	if len(f.modes) == 0 {
		m := mode{at: f.mean, cost: math.Inf(1), cov: mat.NewSymDense(alleyUnknowns, nil)}
		for j, s := range f.sd {
			m.cov.SetSym(j, j, s*s)
		}
		f.settle(&m)
		f.modes = append(f.modes, m)
	}
	best := f.modes[0]
	for _, m := range f.modes {
		if m.cost < best.cost {
			best = m
		}
	}
	f.at, f.cov = best.at, best.cov
	f.a.rows, f.a.crown = f.model(f.at)
	f.a.sunlit = len(f.looks) > 0
	f.a.formSDM = 2 * formAloneRelSD * f.a.crown.halfDepthM
	if f.a.sunlit {
		f.a.formSDM = 2 * formRelSD * f.a.crown.halfDepthM
	}
	if len(f.a.PlacedBy()) == 0 {
		f.a.formSDM = math.Hypot(f.a.formSDM, scaleRelSD*f.a.clear(f.a.scene.BoardAheadM, boardSliceM).Value)
	}
}

// settle works out a mode's clear width and its error.
func (f *alleyFit) settle(m *mode) {
	a := *f.a
	a.rows, a.crown = f.model(m.at)
	m.clear = a.clear(a.scene.BoardAheadM, boardSliceM).Value
	m.sd = a.jointSDM(m.cov)
}

// weighTemper: models of round crowns miss much of what a photo shows; a difference
// of so much in the cost is worth one.
const weighTemper = 1.5

// weigh takes the best of all modes for the alley's form, and all of them, by how
// well they explain the photo, for its width and error.
func weigh(fits []*alleyFit) *alleyFit {
	best, bestFit := math.Inf(1), fits[0]
	var clear float64
	for _, f := range fits {
		for _, m := range f.modes {
			if m.cost < best {
				best, bestFit, clear = m.cost, f, m.clear
			}
		}
	}
	var w, s, q float64
	for _, f := range fits {
		for _, m := range f.modes {
			p := math.Exp((best - m.cost) / weighTemper)
			w, s, q = w+p, s+p*m.clear, q+p*(m.clear*m.clear+m.sd*m.sd)
		}
	}
	if w > 0 && !math.IsInf(best, 0) {
		mean := s / w
		bestFit.a.shiftM = mean - clear
		bestFit.a.widthSDM = math.Sqrt(math.Max(0, q/w-mean*mean))
	}
	return bestFit
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
	const h = 0.01
	var d [alleyUnknowns][]float64
	for i, sights := range f.variantChances(u, h) {
		d[variantUnknowns()[i]] = sights
	}
	for j := range d {
		v := u
		v[j] += h
		switch j {
		case uSunX, uSunY: // no sight depends on the sun
			d[j] = f.lookChances(v, append([]float64(nil), p[:len(f.rays)]...))
		case uPerM: // more leaf on the same way through the same crowns
			d[j] = f.denser(p, h)
		case uLeft, uRight: // nor on the row that it does not look at
			d[j] = f.lookChances(v, f.sightChances(v, p, j-uLeft))
		case uLength, uBase, uTop, uLow, uHigh:
			d[j] = f.lookChances(v, d[j])
		default:
			d[j] = f.chances(v)
		}
		for i := range d[j] {
			d[j][i] = (d[j][i] - p[i]) / h
		}
	}
	info, grad := mat.NewSymDense(alleyUnknowns, nil), mat.NewVecDense(alleyUnknowns, nil)
	weight, weighed := make([]float64, len(p)), make([]float64, len(p))
	for i := range p {
		_, votes := f.seen(i)
		weight[i] = votes / (p[i] * (1 - p[i]))
	}
	for j := range d {
		g := (u[j] - f.mean[j]) / (f.sd[j] * f.sd[j])
		for i := range p {
			y := 0.0
			if blocked, _ := f.seen(i); blocked {
				y = 1
			}
			g += weight[i] * (p[i] - y) * d[j][i]
		}
		grad.SetVec(j, g)
		for i, w := range weight {
			weighed[i] = w * d[j][i]
		}
		for k := j; k < alleyUnknowns; k++ {
			var s float64
			other := d[k][:len(weighed)]
			for i, w := range weighed {
				s += w * other[i]
			}
			if k == j {
				s += 1 / (f.sd[j] * f.sd[j])
			}
			info.SetSym(j, k, s)
		}
	}
	for _, t := range f.ties {
		t.pull(u, info, grad)
	}
	f.ringPull(u, info, grad)
	return info, grad
}

// denser is what chances become where the leaves' density grows by a factor of e^h: of
// what passed, ln 1 is taken as many times over.
func (f *alleyFit) denser(p []float64, h float64) []float64 {
	out, more := make([]float64, len(p)), math.Exp(h)
	for i, was := range p {
		fog := fogShare
		if i >= len(f.rays) {
			fog = sunFogShare
		}
		passed := math.Max(0, 1-(was-fog)/(1-2*fog))
		out[i] = fog + (1-2*fog)*(1-math.Pow(passed, more))
	}
	return out
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
