package vision

import (
	"math"

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

// settledPx: a reweighing that moves no corner by more changes nothing that counts.
const settledPx = 1e-5

// solvePattern returns the step of the four corners that best explains the
// points' offsets, beside how far white has grown over black, and the share of
// all points that then lie where the print has them.
func solvePattern(pts []edgePoint) (step [4]calibrate.Pixel, agree float64, ok bool) {
	weights, abs := make([]float64, len(pts)), make([]float64, 0, len(pts))
	rows := make([]patternRow, len(pts))
	for i, p := range pts {
		if p.found {
			weights[i] = 1
			rows[i] = newPatternRow(p)
		}
	}
	var x unknowns
	for round := range reweighings {
		before := x
		if x, ok = weightedStep(pts, rows, weights); !ok {
			return step, 0, false
		}
		if round > 0 && x.near(before, settledPx) {
			break
		}
		reweigh(pts, rows, x, weights, abs)
	}
	for k := range 4 {
		step[k] = calibrate.Pixel{X: x[2*k], Y: x[2*k+1]}
	}
	return step, agreeing(pts, rows, x), true
}

// unknowns are the steps of the four corners, x before y, and the growth of white where it
// does not clip and where it does, px.
type unknowns [patternUnknowns]float64

func (x unknowns) near(y unknowns, px float64) bool {
	for k := range x {
		if !(math.Abs(x[k]-y[k]) <= px) {
			return false
		}
	}
	return true
}

// patternRow is how a point's offset answers to the unknowns: the corners move
// it by their bilinear weights, exact for a marker seen straight on and near
// enough for steps, which are measured anew each round.
type patternRow struct {
	corner [4]float64 // weights
	growth int        // which growth moves it
}

func newPatternRow(p edgePoint) patternRow {
	r := patternRow{corner: [4]float64{(1 - p.u) * (1 - p.v), p.u * (1 - p.v), p.u * p.v, (1 - p.u) * p.v}, growth: 8}
	if p.clipped {
		r.growth = 9
	}
	return r
}

// weightedStep solves the normal equations of the points, each counted by its weight.
func weightedStep(pts []edgePoint, rows []patternRow, weights []float64) (x unknowns, ok bool) {
	var a [patternUnknowns]unknowns // its lower half
	var b unknowns
	var sum float64
	for i := range pts {
		w, p, row := weights[i], &pts[i], &rows[i]
		if w == 0 {
			continue
		}
		sum += w
		ox, oy, off := p.outward.X, p.outward.Y, p.offsetPx
		g := &a[row.growth]
		for r, c := range row.corner {
			wc := w * c
			wx, wy := wc*ox, wc*oy
			ax, ay := &a[2*r], &a[2*r+1]
			for k, d := range row.corner[:r+1] {
				ax[2*k] += wx * d * ox
				ay[2*k] += wy * d * ox
				ax[2*k+1] += wx * d * oy
				ay[2*k+1] += wy * d * oy
			}
			b[2*r] += wx * off
			b[2*r+1] += wy * off
			g[2*r] += wx
			g[2*r+1] += wy
		}
		g[row.growth] += w
		b[row.growth] += w * off
	}
	if sum < 2*patternUnknowns {
		return x, false
	}
	// Priors in units of one point's noise, taken as minPatternSDPx.
	a[8][8] += math.Pow(minPatternSDPx/growthSDPx, 2)
	a[9][9] += math.Pow(minPatternSDPx/clippedGrowthSDPx, 2)
	var flat [patternUnknowns * patternUnknowns]float64
	for r := range a {
		copy(flat[r*patternUnknowns:], a[r][:])
	}
	return b, calibrate.SolveNormal(flat[:], b[:])
}

// residual is what x leaves of a point's offset.
func (r *patternRow) residual(p *edgePoint, x *unknowns) float64 {
	var sx, sy float64
	for k, w := range r.corner {
		sx += w * x[2*k]
		sy += w * x[2*k+1]
	}
	return p.offsetPx - sx*p.outward.X - sy*p.outward.Y - x[r.growth]
}

// agreeing returns the share of the points that x puts where the print has them.
func agreeing(pts []edgePoint, rows []patternRow, x unknowns) float64 {
	n := 0
	for i := range pts {
		if pts[i].found && math.Abs(rows[i].residual(&pts[i], &x)) < patternNearPx {
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(pts)))
}

// reweigh sets Tukey's biweights from the residuals left by x; abs is room for them.
func reweigh(pts []edgePoint, rows []patternRow, x unknowns, weights, abs []float64) {
	abs = abs[:0]
	for i := range pts {
		weights[i] = 0
		if pts[i].found {
			weights[i] = rows[i].residual(&pts[i], &x)
			abs = append(abs, math.Abs(weights[i]))
		}
	}
	sd := math.Max(minPatternSDPx, madToSD*middle(abs))
	for i := range pts {
		q := weights[i] / (tukeyC * sd)
		weights[i] = 0
		if pts[i].found && math.Abs(q) < 1 {
			weights[i] = (1 - q*q) * (1 - q*q)
		}
	}
}
