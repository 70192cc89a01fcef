package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// groundPlane is the alley's floor: its height over the level through the board's
// foot, by place.
type groundPlane struct{ atM, perAhead, perRight float64 }

func (g groundPlane) under(rightM, aheadM float64) float64 {
	return g.atM + g.perAhead*aheadM + g.perRight*rightM
}

const (
	// The floor is looked for in the middle of the alley, below the knee.
	groundHalfM, groundNearM, groundFarM, groundMostM = 0.8, 1.5, 10.0, 1.2
	// groundSlope is the steepest alley tried, 8.5 degrees; groundStep a twentieth.
	groundSlope, groundStep = 0.15, 0.0075
	// groundThickM is how thick litter, grass and the matcher's noise make the floor.
	groundThickM = 0.08
	// groundLeast sights must end on it, else it is taken as level.
	groundLeast = 300
)

// ground finds the floor from the sights that end in the alley's middle: a slope of
// 4 degrees lifts the floor 8 m ahead by half a metre, where it would pass for leaves.
func (p *PairAlley) ground() groundPlane {
	var pts [][3]float64
	for _, s := range p.Sights {
		x, y := s.Right*s.AheadM-p.BoardRightM, s.AheadM
		z := p.CameraHeightM + s.Up*s.AheadM
		if s.Canopy && math.Abs(x) < groundHalfM && y > groundNearM && y < groundFarM && math.Abs(z) < groundMostM {
			pts = append(pts, [3]float64{x, y, z})
		}
	}
	best, most := groundPlane{}, 0
	for b := -groundSlope; b <= groundSlope+groundStep/2; b += groundStep {
		if at, n := densest(pts, b); n > most {
			best, most = groundPlane{atM: at, perAhead: b}, n
		}
	}
	if most < groundLeast {
		return groundPlane{}
	}
	return best.refined(pts)
}

// densest is the height, for a slope ahead, that most points lie about.
func densest(pts [][3]float64, slope float64) (atM float64, n int) {
	const bins = int(2 * 2 * groundMostM / groundThickM)
	var count [bins + 1]int
	for _, q := range pts {
		k := int((q[2] - slope*q[1] + 2*groundMostM) / groundThickM)
		if k >= 0 && k < bins {
			count[k]++
		}
	}
	best := 0
	for k := range bins {
		if count[k]+count[k+1] > count[best]+count[best+1] {
			best = k
		}
	}
	return float64(best+1)*groundThickM - 2*groundMostM, count[best] + count[best+1]
}

// refined fits the plane by least squares to the points near it, twice.
func (g groundPlane) refined(pts [][3]float64) groundPlane {
	for range 2 {
		n := mat.NewSymDense(3, nil)
		r := mat.NewVecDense(3, nil)
		for _, q := range pts {
			if math.Abs(q[2]-g.under(q[0], q[1])) > groundThickM {
				continue
			}
			row := [3]float64{1, q[1], q[0]}
			for i := range row {
				r.SetVec(i, r.AtVec(i)+row[i]*q[2])
				for j := i; j < 3; j++ {
					n.SetSym(i, j, n.At(i, j)+row[i]*row[j])
				}
			}
		}
		var chol mat.Cholesky
		var v mat.VecDense
		if !chol.Factorize(n) || chol.SolveVecTo(&v, r) != nil {
			return g
		}
		g = groundPlane{v.AtVec(0), v.AtVec(1), v.AtVec(2)}
	}
	return g
}
