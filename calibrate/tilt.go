package calibrate

import "math"

// A board seen nearly head-on hardly changes in the picture when it tilts: its
// foreshortening goes with the square of the angle. The best fit then lies at
// some tilt that the noise made up, claims to know it well, and is wrong: over
// 300 drawn photos from 6 m the intervals of a tree's height held the truth in
// 80-86 of 100. So there the pose is averaged over all tilts that the corners
// (and the priors) allow, each by its likelihood.

const (
	// tiltSteps to either side of head-on: a step is about half of the spread that
	// is looked for, which the sum then follows to a few per cent.
	tiltSteps = 6
	// tiltRange: tilts up to sqrt(tiltRange sigma/L) are tried, L the picture of
	// the sheet's height. Foreshortening there, 8 sigma, is past doubt.
	tiltRange = 16.0
	// maxTiltTried keeps the walk on small boards where small angles hold.
	maxTiltTried = 30 / degreesPerRadian
	refitRounds  = 2
	// settledChi2: a further round that gains less changes no weight that counts.
	settledChi2 = 0.02
	// fewestNodes: where the weights rest on fewer tilts than this (by
	// (sum w)^2 / sum w^2), the grid is too coarse for so sharp a fit, and the
	// plain covariance holds.
	fewestNodes = 5
	// conditional unknowns at a given tilt: turn about the line of sight,
	// translation 3, ln f.
	conditional = 5
)

// nearHeadOn returns the tilts to try (radians) where the board's own tilt lies
// among them, or 0.
func (p *poseProblem) nearHeadOn(b *BoardPose) float64 {
	centre := b.ToCamera(SheetCentre())
	sheetPx := SheetHeightMM / mmPerM / centre.Norm() * b.Camera.FPx
	noisePx := p.opt.CornerSDPx * math.Sqrt(p.inflation(b))
	reach := math.Min(math.Sqrt(tiltRange*noisePx/sheetPx), maxTiltTried)
	if b.R.Col(2).Cross(centre.Unit()).Norm() > math.Sin(reach) {
		return 0
	}
	return reach
}

// averageOverTilt returns the mean pose over the tilts up to reach from head-on,
// weighted by exp(-chi2/2), with the covariance about that mean: of the tilts,
// and of the rest at a given tilt.
func (p *poseProblem) averageOverTilt(b *BoardPose, reach float64) *BoardPose {
	nodes := p.tiltNodes(b, reach)
	best := b.chi2
	for _, n := range nodes {
		best = math.Min(best, n.chi2)
	}
	inflate := p.inflation(b)
	var sumW, sumW2 float64
	var mean [paramCount]float64
	var square [paramCount][paramCount]float64
	for _, n := range nodes {
		w := math.Exp((best - n.chi2) / (2 * inflate))
		d := difference(b, n)
		sumW, sumW2 = sumW+w, sumW2+w*w
		for i := range d {
			mean[i] += w * d[i]
			for j := range d {
				square[i][j] += w * d[i] * d[j]
			}
		}
	}
	if sumW*sumW < fewestNodes*sumW2 {
		return b
	}
	cov := p.conditionalCov(b, inflate)
	for i := range fitted {
		mean[i] /= sumW
	}
	for i := range fitted {
		for j := range fitted {
			cov[i][j] += square[i][j]/sumW - mean[i]*mean[j]
		}
	}
	out := b.Moved(mean)
	out.Cov = cov
	out.chi2 = p.robustCost(p.residuals(out))
	out.RMSPx = p.rmsPx(out)
	return out
}

// tiltNodes are the poses refitted at each tilt of a square grid about head-on.
func (p *poseProblem) tiltNodes(b *BoardPose, reach float64) []*BoardPose {
	sight := b.ToCamera(SheetCentre()).Unit()
	across := sight.Cross(Vec3{1, 0, 0})
	if math.Abs(sight[0]) > 0.9 {
		across = sight.Cross(Vec3{0, 1, 0})
	}
	across = across.Unit()
	along := sight.Cross(across)
	headOn := b.turned(toward(b.R.Col(2), sight))
	var out []*BoardPose
	for i := -tiltSteps; i <= tiltSteps; i++ {
		for j := -tiltSteps; j <= tiltSteps; j++ {
			w := across.Scale(float64(i)).Add(along.Scale(float64(j))).Scale(reach / tiltSteps)
			out = append(out, p.refitAtTilt(headOn.turned(Rotation(w))))
		}
	}
	return out
}

// toward is the rotation that brings the unit vector a onto b.
func toward(a, b Vec3) Mat3 {
	axis := a.Cross(b)
	if axis.Norm() < 1e-12 {
		return Rotation(Vec3{})
	}
	return Rotation(axis.Unit().Scale(math.Atan2(axis.Norm(), a.Dot(b))))
}

// turned rotates the board about its centre.
func (b *BoardPose) turned(turn Mat3) *BoardPose {
	out := *b
	out.Alternate = nil
	centre := b.ToCamera(SheetCentre())
	out.R = turn.Mul(b.R)
	out.T = centre.Sub(out.R.MulVec(SheetCentre()))
	return &out
}

// conditionalMove spreads a change of the conditional unknowns over all, for a board in
// the way of sight.
func conditionalMove(sight Vec3, v [conditional]float64) (d [paramCount]float64) {
	turn := sight.Scale(v[0])
	copy(d[:3], turn[:])
	copy(d[3:fitted], v[1:])
	return d
}

// conditionalNormal is the normal system of the conditional unknowns at the pose's tilt.
func (p *poseProblem) conditionalNormal(b *BoardPose) *normalSystem {
	sight := b.ToCamera(SheetCentre()).Unit()
	return p.normalBy(b, conditional, func(i int) [paramCount]float64 {
		var v [conditional]float64
		v[i] = finiteDifferenceRel
		return conditionalMove(sight, v)
	})
}

// refitAtTilt fits the rest with the tilt held, a few Gauss-Newton rounds.
func (p *poseProblem) refitAtTilt(b *BoardPose) *BoardPose {
	b.chi2 = p.costOf(b)
	for range refitRounds {
		step, ok := p.conditionalNormal(b).descent(0)
		if !ok {
			return b
		}
		next := b.Moved(conditionalMove(b.ToCamera(SheetCentre()).Unit(), [conditional]float64(step[:conditional])))
		next.chi2 = p.costOf(next)
		if !(next.chi2 < b.chi2) {
			return b
		}
		gain := b.chi2 - next.chi2
		if b = next; gain < settledChi2 {
			return b
		}
	}
	return b
}

// conditionalCov is the covariance of the rest at the pose's tilt, with the
// board's scale, over all unknowns.
func (p *poseProblem) conditionalCov(b *BoardPose, inflate float64) (cov [paramCount][paramCount]float64) {
	cov[fitted][fitted] = p.opt.BoardScaleRelSD * p.opt.BoardScaleRelSD
	inv, ok := inverse(p.conditionalNormal(b).matrix())
	if !ok {
		return cov
	}
	sight := b.ToCamera(SheetCentre()).Unit()
	var basis [conditional][paramCount]float64
	for i := range conditional {
		var v [conditional]float64
		v[i] = 1
		basis[i] = conditionalMove(sight, v)
	}
	for i := range fitted {
		for j := range fitted {
			for k := range conditional {
				for l := range conditional {
					cov[i][j] += basis[k][i] * inv.At(k, l) * inflate * basis[l][j]
				}
			}
		}
	}
	return cov
}

// difference is the move that takes pose a to pose b, as Moved has it.
func difference(a, b *BoardPose) (d [paramCount]float64) {
	m := b.R.Mul(a.R.T())
	v := Vec3{m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]}.Scale(0.5)
	turn := v.Unit().Scale(math.Atan2(v.Norm(), (m[0][0]+m[1][1]+m[2][2]-1)/2))
	shift := b.ToCamera(SheetCentre()).Sub(a.ToCamera(SheetCentre()))
	copy(d[:3], turn[:])
	copy(d[3:6], shift[:])
	d[6] = math.Log(b.Camera.FPx / a.Camera.FPx)
	return d
}
