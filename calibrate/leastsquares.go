package calibrate

import "gonum.org/v1/gonum/mat"

// columns are the derivatives of residuals by each of n unknowns, by differences:
// raised returns the residuals with one unknown raised by finiteDifferenceRel.
func columns(n int, r []float64, raised func(unknown int) []float64) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = raised(i)
		for k := range r {
			out[i][k] = (out[i][k] - r[k]) / finiteDifferenceRel
		}
	}
	return out
}

// normalOf is the normal matrix J'WJ and the gradient J'Wr of weighted residuals,
// from the columns of J.
func normalOf(jac [][]float64, w, r []float64) (*mat.SymDense, *mat.VecDense) {
	normal, grad := mat.NewSymDense(len(jac), nil), mat.NewVecDense(len(jac), nil)
	for i := range jac {
		var g float64
		for k := range r {
			g += w[k] * jac[i][k] * r[k]
		}
		grad.SetVec(i, g)
		for j := i; j < len(jac); j++ {
			var s float64
			for k := range r {
				s += w[k] * jac[i][k] * jac[j][k]
			}
			normal.SetSym(i, j, s)
		}
	}
	return normal, grad
}

// descent is the step, of opposite sign to the gradient, that solves the normal
// equations; ok is false where they fix nothing.
func descent(normal mat.Symmetric, grad *mat.VecDense) (step []float64, ok bool) {
	var chol mat.Cholesky
	var solved mat.VecDense
	if !chol.Factorize(normal) || chol.SolveVecTo(&solved, grad) != nil {
		return nil, false
	}
	step = make([]float64, solved.Len())
	for i := range step {
		step[i] = -solved.AtVec(i)
	}
	return step, true
}

// dampedDescent is descent with the diagonal raised by lambda (Levenberg and
// Marquardt), and by a little for unknowns that nothing fixes.
func dampedDescent(normal *mat.SymDense, grad *mat.VecDense, lambda float64) ([]float64, bool) {
	damped := mat.NewSymDense(normal.SymmetricDim(), nil)
	damped.CopySym(normal)
	for i := range normal.SymmetricDim() {
		damped.SetSym(i, i, normal.At(i, i)*(1+lambda)+1e-12)
	}
	return descent(damped, grad)
}

// inverse inverts a normal matrix to the covariance it stands for; ok is false
// where it fixes nothing.
func inverse(normal *mat.SymDense) (cov *mat.SymDense, ok bool) {
	var chol mat.Cholesky
	cov = new(mat.SymDense)
	if !chol.Factorize(normal) || chol.InverseTo(cov) != nil {
		return nil, false
	}
	return cov, true
}
