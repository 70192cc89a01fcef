package metrics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	// spotsForFit: three unknowns a coordinate want a few dozen points, as one in
	// thirty is false.
	spotsForFit = 40
	// spotRounds of reweighting, and the distance from which a point counts less
	// (Huber's, metres: a leaf's breadth, the crown's own depth seen from a hand's
	// breadth beside).
	spotRounds, spotHuberM = 8, 0.05
)

// FitSpots lays the second plane on the first by points found in both (same
// index), by robust least squares. ok is false for too few points, or where they
// do not fix the fit; it stays near the boards' own placing or is not ok.
func FitSpots(first, second []SidePoint) (f SideFit, ok bool) {
	n := len(first)
	if n < spotsForFit || n != len(second) {
		return plainFit(), false
	}
	weight := slices.Repeat([]float64{1}, n)
	for range spotRounds {
		if f, ok = weightedFit(first, second, weight); !ok {
			return plainFit(), false
		}
		for i := range weight {
			q := f.At(first[i])
			weight[i] = 1 / math.Max(1, math.Hypot(q.XM-second[i].XM, q.ZM-second[i].ZM)/spotHuberM)
		}
	}
	return f, f.nearBoards()
}

// weightedFit solves x' = sx x + lean z + dx and z' = sz z + dz.
func weightedFit(first, second []SidePoint, weight []float64) (SideFit, bool) {
	n := len(first)
	ax, bx := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
	az, bz := mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil)
	for i, w := range weight {
		w = math.Sqrt(w)
		ax.SetRow(i, []float64{w * first[i].XM, w * first[i].ZM, w})
		bx.SetVec(i, w*second[i].XM)
		az.SetRow(i, []float64{w * first[i].ZM, w})
		bz.SetVec(i, w*second[i].ZM)
	}
	var x, z mat.VecDense
	if x.SolveVec(ax, bx) != nil || z.SolveVec(az, bz) != nil {
		return SideFit{}, false
	}
	return SideFit{StretchX: x.AtVec(0), Lean: x.AtVec(1), ShiftXM: x.AtVec(2), StretchZ: z.AtVec(0), ShiftZM: z.AtVec(1)}, true
}
