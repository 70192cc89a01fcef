package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A step solves (J'WJ + lambda diag) step = -J'Wr.
func TestNormalSystemSolvesItsEquations(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 9))
	for n := 1; n <= fitted; n++ {
		const rows = 20
		jac, w, r := make([][]float64, n), make([]float64, rows), make([]float64, rows)
		for k := range rows {
			w[k], r[k] = rnd.Float64(), rnd.NormFloat64()
		}
		for i := range jac {
			for range rows {
				jac[i] = append(jac[i], rnd.NormFloat64())
			}
		}
		var s normalSystem
		s.set(jac, w, r)
		want, grad := normalOf(jac, w, r)
		if !mat.EqualApprox(s.matrix(), want, 1e-12) {
			t.Fatalf("%d unknowns: the matrices differ", n)
		}
		for _, lambda := range []float64{0, 0.3} {
			step, ok := s.descent(lambda)
			if !ok {
				t.Fatalf("%d unknowns: no step", n)
			}
			for i := range n {
				sum := grad.AtVec(i) + lambda*want.At(i, i)*step[i]
				for j := range n {
					sum += want.At(i, j) * step[j]
				}
				if math.Abs(sum) > 1e-9 {
					t.Errorf("%d unknowns, lambda %g: equation %d is off by %g", n, lambda, i, sum)
				}
			}
			if n < paramCount && step[n] != 0 {
				t.Error("an unknown that is none moves")
			}
		}
	}
	var s normalSystem
	same := []float64{1, 2, 3}
	s.set([][]float64{same, same}, []float64{1, 1, 1}, same)
	if _, ok := s.descent(0); ok {
		t.Error("equations that fix nothing gave a step")
	}
}
