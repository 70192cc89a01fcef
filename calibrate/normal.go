package calibrate

import "gonum.org/v1/gonum/mat"

// normalSystem holds the normal equations J'WJ, J'Wr of a few unknowns, paramCount at
// most: a pose's thousand small systems cost more in a matrix library's care than in sums.
type normalSystem struct {
	n    int
	a    [paramCount][paramCount]float64 // its lower half
	grad [paramCount]float64
}

// set fills the system from the columns of J, weights and residuals.
func (s *normalSystem) set(jac [][]float64, w, r []float64) {
	s.n = len(jac)
	for i, ji := range jac {
		var g float64
		for k, v := range ji {
			g += w[k] * v * r[k]
		}
		s.grad[i] = g
		for j, jj := range jac[:i+1] {
			var sum float64
			for k, v := range jj {
				sum += w[k] * v * ji[k]
			}
			s.a[i][j] = sum
		}
	}
}

// descent is the step, of opposite sign to the gradient, that solves the equations, the
// diagonal raised by lambda (Levenberg and Marquardt) and, with it, by a little for unknowns
// that nothing fixes. Unknowns past the system's stay 0; ok is false where the equations fix
// nothing.
func (s *normalSystem) descent(lambda float64) (step [paramCount]float64, ok bool) {
	var room [paramCount * paramCount]float64
	a := room[:s.n*s.n]
	var x [paramCount]float64
	for r := range s.n {
		copy(a[r*s.n:], s.a[r][:r+1])
		if lambda > 0 {
			a[r*s.n+r] = s.a[r][r]*(1+lambda) + 1e-12
		}
		x[r] = -s.grad[r]
	}
	if !SolveNormal(a, x[:s.n]) {
		return step, false
	}
	return x, true
}

// matrix is the normal matrix whole.
func (s *normalSystem) matrix() *mat.SymDense {
	out := mat.NewSymDense(s.n, nil)
	for i := range s.n {
		for j := range i + 1 {
			out.SetSym(i, j, s.a[i][j])
		}
	}
	return out
}
