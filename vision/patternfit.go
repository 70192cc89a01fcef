package vision

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"rowlight/calibrate"
)

const (
	patternUnknowns = 10 // four corners, growth of white unclipped and clipped
	// reweighings of one solution; the biweights settle in three to five.
	reweighings = 5
	// tukeyC rejects points beyond it (in robust deviations): 95 % efficiency on
	// normal noise (Beaton and Tukey 1974, from memory).
	tukeyC = 4.685
	// minPatternSDPx keeps the robust deviation off zero.
	minPatternSDPx = 0.08
	// White grows over black where the sensor clips, by how much only the print
	// itself tells; away from clipping hardly at all. Prior deviations, px.
	growthSDPx, clippedGrowthSDPx = 0.1, 0.5
)

// solvePattern returns the step of the four corners that best explains the
// points' offsets, beside how far white has grown over black, and the share of
// all points that then lie where the print has them.
func solvePattern(pts []edgePoint) (step [4]calibrate.Pixel, agree float64, ok bool) {
	weights := make([]float64, len(pts))
	for i, p := range pts {
		if p.found {
			weights[i] = 1
		}
	}
	var x [patternUnknowns]float64
	for range reweighings {
		if x, ok = weightedStep(pts, weights); !ok {
			return step, 0, false
		}
		reweigh(pts, x, weights)
	}
	for k := range 4 {
		step[k] = calibrate.Pixel{X: x[2*k], Y: x[2*k+1]}
	}
	return step, agreeing(pts, x), true
}

// patternRow is how a point's offset answers to the unknowns: the corners move
// it by their bilinear weights, exact for a marker seen straight on and near
// enough for steps, which are measured anew each round.
func patternRow(p edgePoint) (row [patternUnknowns]float64) {
	for k, w := range [4]float64{(1 - p.u) * (1 - p.v), p.u * (1 - p.v), p.u * p.v, (1 - p.u) * p.v} {
		row[2*k], row[2*k+1] = w*p.outward.X, w*p.outward.Y
	}
	row[8] = 1
	if p.clipped {
		row[8], row[9] = 0, 1
	}
	return row
}

func weightedStep(pts []edgePoint, weights []float64) (x [patternUnknowns]float64, ok bool) {
	a := mat.NewSymDense(patternUnknowns, nil)
	b := mat.NewVecDense(patternUnknowns, nil)
	var sum float64
	for i, p := range pts {
		if weights[i] == 0 {
			continue
		}
		sum += weights[i]
		row := patternRow(p)
		for r := range patternUnknowns {
			b.SetVec(r, b.AtVec(r)+weights[i]*row[r]*p.offsetPx)
			for c := r; c < patternUnknowns; c++ {
				a.SetSym(r, c, a.At(r, c)+weights[i]*row[r]*row[c])
			}
		}
	}
	if sum < 2*patternUnknowns {
		return x, false
	}
	// Priors in units of one point's noise, taken as minPatternSDPx.
	a.SetSym(8, 8, a.At(8, 8)+math.Pow(minPatternSDPx/growthSDPx, 2))
	a.SetSym(9, 9, a.At(9, 9)+math.Pow(minPatternSDPx/clippedGrowthSDPx, 2))
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return x, false
	}
	var sol mat.VecDense
	if err := chol.SolveVecTo(&sol, b); err != nil {
		return x, false
	}
	copy(x[:], sol.RawVector().Data)
	return x, true
}

// residual is what x leaves of a point's offset.
func (p edgePoint) residual(x [patternUnknowns]float64) float64 {
	res := p.offsetPx
	for k, r := range patternRow(p) {
		res -= r * x[k]
	}
	return res
}

// agreeing returns the share of the points that x puts where the print has them.
func agreeing(pts []edgePoint, x [patternUnknowns]float64) float64 {
	n := 0
	for _, p := range pts {
		if p.found && math.Abs(p.residual(x)) < patternNearPx {
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(pts)))
}

// reweigh sets Tukey's biweights from the residuals left by x.
func reweigh(pts []edgePoint, x [patternUnknowns]float64, weights []float64) {
	res := make([]float64, len(pts))
	var abs []float64
	for i, p := range pts {
		if p.found {
			res[i] = p.residual(x)
			abs = append(abs, math.Abs(res[i]))
		}
	}
	sd := math.Max(minPatternSDPx, madToSD*middle(abs))
	for i, p := range pts {
		weights[i] = 0
		if q := res[i] / (tukeyC * sd); p.found && math.Abs(q) < 1 {
			weights[i] = (1 - q*q) * (1 - q*q)
		}
	}
}
