package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"rowlight/calibrate"
	"rowlight/metrics/wallsums"
)

// The unknowns of the fit, in package wallsums' order.
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
	// A fit ends when its next step promises to lower the cost by less than settledGain,
	// a fifth of a standard deviation off (0.5 is one); half of it moves the clear width by
	// 0.8 % of its interval's half in the mean of 120 alleys and takes an eighth longer.
	fitRounds   = 20
	settledGain = 0.02
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
	// leastLineM and leastCrownM hold the rows' lines outside the camera and crowns
	// right side up.
	leastLineM, leastCrownM = 0.1, 0.3
	// A row whose trunks are not seen stands somewhere between these.
	priorLineM, priorLineSD = 2.2, 0.9
)

type alleyFit struct {
	a        *Alley
	mean, sd [alleyUnknowns]float64
	at       [alleyUnknowns]float64
	cov      *mat.SymDense
	sights   *wallsums.Sights
	looks    *wallsums.Sights
	fewLooks *wallsums.Sights // one of so many alone
	modes    []mode
	ties     []alleyTie
}

func newAlleyFit(a *Alley) *alleyFit {
	f := &alleyFit{a: a, ties: tiesOf(a.scene)}
	f.see(a.scene.Rays, a.scene.Floor)
	f.mean = [alleyUnknowns]float64{math.Log(priorDepthM), math.Log(priorLengthShare * a.SpacingM), math.Log(priorBaseM), math.Log(priorTopM), math.Log(priorPerM), math.Log(priorSide), math.Log(priorSide), 0, priorLineM, priorLineM, 0, 0}
	f.sd = [alleyUnknowns]float64{priorDepthSD, priorLenSD, priorBaseSD, priorTopSD, priorPerSD, priorSideSD, priorSideSD, priorYawSD, priorLineSD, priorLineSD, sunSlopeSD, sunSlopeSD}
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
func (f *alleyFit) model(u [alleyUnknowns]float64) *alleyModel {
	c := crown{halfDepthM: math.Exp(u[uDepth]), halfLengthM: math.Exp(u[uLength]), baseM: math.Exp(u[uBase]), topM: math.Exp(u[uTop]), perM: math.Exp(u[uPerM]), low: math.Exp(u[uLow]), high: math.Exp(u[uHigh])}
	m := &alleyModel{spacingM: f.a.SpacingM, perTree: 1 / f.a.SpacingM, cameraM: f.a.scene.CameraHeightM, yaw: u[uYaw]}
	m.baseByBase, m.topByTop = c.baseM, c.topM
	if least := c.baseM + leastCrownM; c.topM < least {
		c.topM, m.topByBase, m.topByTop = least, c.baseM, 0
	}
	m.crown = c.shaped(f.a.exp)
	for k := range m.rows {
		r := f.a.rows[k]
		r.lineM = math.Max(u[uLeft+k], leastLineM)
		m.rows[k] = newCrossing(&r, c.halfDepthM)
		if u[uLeft+k] < leastLineM {
			m.rows[k].lineMoves = 0
		}
	}
	m.face(u[uSunX], u[uSunY])
	return m
}

// stand puts the alley's rows and crown where the unknowns have them.
func (f *alleyFit) stand(a *Alley, u [alleyUnknowns]float64) {
	m := f.model(u)
	a.crown = m.crown
	for k := range a.rows {
		a.rows[k].lineM = m.rows[k].lineM
	}
}

// fitPoint is what the photo says of one set of unknowns.
type fitPoint struct {
	u    [alleyUnknowns]float64
	cost float64       // minus the log posterior
	info *mat.SymDense // Fisher information
	grad *mat.VecDense // of the cost
}

// point holds a model against all sights and looks.
func (f *alleyFit) point(u [alleyUnknowns]float64) *fitPoint {
	m := f.model(u)
	var sights [2]*wallsums.Sums
	crown, right := m.wideCrown(), f.sights.Before(m.yaw)
	for k, part := range [2][2]int{{0, right}, {right, f.sights.Len()}} {
		sights[k] = wallsums.NewSums()
		f.sights.Across(part[0], part[1], crown, m.rows[k].wide(m.perTree), sights[k])
	}
	looks := wallsums.NewSums()
	f.looks.Sunward(m.wideSun(), looks)
	o := &fitPoint{u: u, cost: (sights[0].Cost()+sights[1].Cost())/sightsPerVote + looks.Cost()/looksPerVote + f.known(u)}
	o.info, o.grad = mat.NewSymDense(alleyUnknowns, nil), mat.NewVecDense(alleyUnknowns, nil)
	for j := range u {
		o.info.SetSym(j, j, 1/(f.sd[j]*f.sd[j]))
		o.grad.SetVec(j, (u[j]-f.mean[j])/(f.sd[j]*f.sd[j]))
	}
	o.pull(sights[0], wallsums.SightUnknowns, uLeft, 1/sightsPerVote)
	o.pull(sights[1], wallsums.SightUnknowns, uRight, 1/sightsPerVote)
	o.pull(looks, alleyUnknowns, uLeft, 1/looksPerVote)
	for _, t := range f.ties {
		t.pull(u, o.info, o.grad)
	}
	f.ringPull(u, o.info, o.grad)
	return o
}

// known is what is known beside the sights and looks, as a cost.
func (f *alleyFit) known(u [alleyUnknowns]float64) (sum float64) {
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
		at := f.descend(f.faceSun(u))
		var chol mat.Cholesky
		m := mode{at: at.u, cost: at.cost - evidence, cov: &mat.SymDense{}}
		if !chol.Factorize(at.info) || chol.InverseTo(m.cov) != nil {
			continue
		}
		f.settle(&m)
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
	f.stand(f.a, f.at)
	f.a.sunlit = f.looks.Len() > 0
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
	f.stand(&a, m.at)
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

// descend is Fisher scoring with Levenberg's damping, until the next step promises less
// than settledGain.
func (f *alleyFit) descend(u [alleyUnknowns]float64) *fitPoint {
	at, lambda := f.point(u), 0.01
	for range fitRounds {
		to, promised := f.step(at, lambda)
		if promised < settledGain {
			break
		}
		next := f.point(to)
		if next.cost < at.cost {
			at, lambda = next, math.Max(lambda/6, 1e-4)
		} else {
			lambda *= 8
		}
	}
	return at
}

// step is where a point's slopes send the fit, and by how much the cost should fall.
func (f *alleyFit) step(at *fitPoint, lambda float64) (u [alleyUnknowns]float64, promised float64) {
	var damped [alleyUnknowns * alleyUnknowns]float64
	var s [alleyUnknowns]float64
	for j := range u {
		s[j] = at.grad.AtVec(j)
		row := damped[j*alleyUnknowns:]
		for k := range j {
			row[k] = at.info.At(j, k)
		}
		row[j] = at.info.At(j, j) * (1 + lambda)
	}
	if !calibrate.SolveNormal(damped[:], s[:]) {
		return at.u, 0
	}
	for j := range u {
		// A step is at most one prior's width: the model is far from linear.
		by := math.Max(-f.sd[j], math.Min(f.sd[j], s[j]))
		u[j] = at.u[j] - by
		promised += at.grad.AtVec(j) * by / 2
	}
	return u, promised
}
