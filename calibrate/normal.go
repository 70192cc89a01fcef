package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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

// leastPivot: where a pivot falls to so little of its own diagonal, nothing fixes the unknown.
const leastPivot = 1e-15

// descent is the step, of opposite sign to the gradient, that solves the equations by
// Cholesky's way, the diagonal raised by lambda (Levenberg and Marquardt) and, with it, by
// a little for unknowns that nothing fixes. Unknowns past the system's stay 0; ok is false
// where the equations fix nothing.
func (s *normalSystem) descent(lambda float64) (step [paramCount]float64, ok bool) {
	l := s.a
	for r := range s.n {
		if lambda > 0 {
			l[r][r] = s.a[r][r]*(1+lambda) + 1e-12
		}
		diagonal := l[r][r]
		for c := range r + 1 {
			v := l[r][c]
			for k := range c {
				v -= l[r][k] * l[c][k]
			}
			if c < r {
				l[r][c] = v / l[c][c]
				continue
			}
			if !(v > leastPivot*diagonal) {
				return step, false
			}
			l[r][r] = math.Sqrt(v)
		}
	}
	for r := range s.n {
		v := -s.grad[r]
		for k := range r {
			v -= l[r][k] * step[k]
		}
		step[r] = v / l[r][r]
	}
	for r := s.n - 1; r >= 0; r-- {
		v := step[r]
		for k := r + 1; k < s.n; k++ {
			v -= l[k][r] * step[k]
		}
		step[r] = v / l[r][r]
	}
	return step, true
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
