package wallsums

import (
	"math"
	"testing"
)

// hedge is a row of round crowns 2 m out, and sights all over it. What a sight says is held
// against its definition in package metrics, where the fit is.
func hedge() (*Sights, *Crown, *Crossing) {
	const half, spacing, base, top = 0.8, 4.0, 0.4, 3.0
	c := &Crown{CameraM: 1.5, LeastRight: 0.03, CellsPerHalf: 32, PerTree: 1 / spacing, TreeLengths: spacing / half, PerLength: 1 / half, PerHalf: 2 / (top - base), PerM: 1, BaseByBase: base, TopByTop: top, Fog: 0.03}
	c.CellAt = (2*1.5-top-base)*c.PerHalf*c.CellsPerHalf + (SideCells-1)/2
	for i := range c.Side {
		at := func(i int) float32 { return float32(math.Pow(math.Abs(float64(i)-(SideCells-1)/2)/32, 2)) }
		c.Side[i] = SideCell{At: at(i), Rise: at(i+1) - at(i)}
	}
	r := &Crossing{Side: 1, LineM: 2, StepM: 0.3, LineMoves: 1}
	for i := range r.OutM {
		x := 0.3 * (float32(i) - 3)
		r.OutM[i], r.OutSteps[i], r.Plan[i], r.Share[i] = 2+x, (2+x)/0.3, x*x/(half*half), 1
	}
	s := NewSights(1000)
	for i := range s.Len() {
		s.Set(i, 0.1+0.0006*float64(i), -0.3+0.01*float64(i%70), i%3 > 0)
	}
	return s, c, r
}

// Sights say together what they say in two parts, wherever these meet.
func TestPartsMakeTheWhole(t *testing.T) {
	s, c, r := hedge()
	whole := NewSums()
	s.Across(0, s.Len(), c, r, whole)
	if whole.Info[0][0] == 0 || whole.Cost() == 0 {
		t.Fatal("the sights say nothing")
	}
	for _, at := range []int{0, 1, 7, 8, 63, 64, 65, 500, 960, 999, 1000} {
		parts := NewSums()
		s.Across(0, at, c, r, parts)
		s.Across(at, s.Len(), c, r, parts)
		near := func(what string, got, want, of float64) {
			if math.Abs(got-want) > 1e-5*of {
				t.Errorf("parted at %d: %s %g, whole %g", at, what, got, want)
			}
		}
		near("cost", parts.Cost(), whole.Cost(), whole.Cost())
		for j := range whole.Grad {
			near("gradient", parts.Grad[j], whole.Grad[j], math.Sqrt(whole.Info[j][j]))
			for k := j; k < Unknowns; k++ {
				near("information", parts.Info[j][k], whole.Info[j][k], math.Sqrt(whole.Info[j][j]*whole.Info[k][k]))
			}
		}
	}
}

// Where nothing is in the way of a sight it is fog's chance alone that ends it.
func TestSightsPastTheCrownsAreFog(t *testing.T) {
	_, c, r := hedge()
	for _, blocked := range []bool{false, true} {
		s := NewSights(3)
		for i := range s.Len() {
			s.Set(i, 0.3, 2, blocked) // far over the tops
		}
		sums := NewSums()
		s.Across(0, s.Len(), c, r, sums)
		want := -3 * math.Log(1-0.03)
		if blocked {
			want = -3 * math.Log(0.03)
		}
		if got := sums.Cost(); math.Abs(got-want) > 1e-5 {
			t.Errorf("blocked %v: cost %.9f, want %.9f", blocked, got, want)
		}
		if sums.Grad != [Unknowns]float64{} {
			t.Errorf("blocked %v: moved by %v", blocked, sums.Grad)
		}
	}
}

func TestBeforeCountsSightsToTheLeft(t *testing.T) {
	s := NewSights(4)
	for i, right := range []float64{-0.5, -0.1, 0.1, 0.5} {
		s.Set(i, right, 0, false)
	}
	for right, want := range map[float64]int{-1: 0, 0: 2, 0.1: 2, 0.2: 3, 1: 4} {
		if got := s.Before(right); got != want {
			t.Errorf("%g: %d, want %d", right, got, want)
		}
	}
}

// Nothing seen costs nothing.
func TestNothingCostsNothing(t *testing.T) {
	if got := NewSights(0).SunwardCost(&Sun{}); got != 0 {
		t.Errorf("%g", got)
	}
}

// Leaves by their definition: half as dense on the crown's surface as inside, 1 / (1 + q^8).
func TestLeafSumsByDefinition(t *testing.T) {
	square := []float32{0, 0.25, 1, 4, 1e20}
	rest := []float32{0, 0.1, 0.5, 1, 2, 50, 99, Farthest, 1e30, 0.3, 0.9, 1.1, 0, 0, 0, 7}
	sum := make([]float64, len(square))
	LeafSums(square, rest, sum)
	for i, s := range square {
		var want float64
		for _, r := range rest {
			want += 1 / (1 + math.Pow(float64(s)+float64(r), 8))
		}
		if math.Abs(sum[i]-want) > 1e-6*(1+want) {
			t.Errorf("square %g: %g, want %g", s, sum[i], want)
		}
	}
}
