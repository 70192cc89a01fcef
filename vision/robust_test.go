package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A line drawn with normal scatter of 0.1 and a fifth of the points far above it: least
// squares would be lifted by 0.6; the line's own error is 0.1/root(4000), the outliers'
// pull by Cauchy's weights a tenth of the scatter.
func TestRobustLineStandsOutliers(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	xs, ys := make([]float32, 5003), make([]float32, 5003)
	for i := range xs {
		x := 4*rng.Float64() - 3
		y := 0.3 - 0.5*x + 0.1*rng.NormFloat64()
		if i%5 == 0 {
			y += 3
		}
		xs[i], ys[i] = float32(x), float32(y)
	}
	l := RobustLine(xs, ys)
	if math.Abs(l.A-0.3) > 0.03 || math.Abs(l.B+0.5) > 0.02 || l.Spread < 0.1 || l.Spread > 0.15 {
		t.Errorf("%+v; drawn 0.3, -0.5, 0.1", l)
	}
}

// Without outliers the spread is the scatter's SD (normal: the MAD times 1.4826), known to
// 1.2/root(n).
func TestRobustLineSpreadIsTheSD(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 5))
	xs, ys := make([]float32, 20000), make([]float32, 20000)
	for i := range xs {
		xs[i], ys[i] = float32(rng.NormFloat64()), float32(0.02*rng.NormFloat64())
	}
	if l := RobustLine(xs, ys); math.Abs(l.Spread-0.02) > 0.0006 {
		t.Errorf("spread %g, drawn 0.02", l.Spread)
	}
}

func TestRobustLineOfOnePlaceIsLevel(t *testing.T) {
	if l := RobustLine([]float32{2, 2, 2}, []float32{5, 5, 5}); l.B != 0 || l.A != 5 || l.Spread > 1e-5 {
		t.Errorf("%+v, want 5 level", l)
	}
}
