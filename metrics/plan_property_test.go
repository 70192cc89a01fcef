package metrics

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Whatever the floor and the target: the shares asked for bring it there, an interval
// holds its value, a year keeps its limits, and a path never goes past the target or
// takes more than the most.
func TestBudgetProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		target := rapid.Float64Range(0.05, 0.6).Draw(t, "target")
		p0 := rapid.Float64Range(shareFloor, target).Draw(t, "p0")
		high := rapid.Float64Range(0.05, 0.6).Draw(t, "high")
		low := rapid.Float64Range(0.01, high).Draw(t, "low")
		g := rapid.Float64Range(0, 0.6).Draw(t, "g")

		r, w := ThinningShare(p0, target), WindowShare(p0, target)
		if got := AfterThinning(p0, r); math.Abs(got-target) > 1e-9 {
			t.Fatalf("thinned by %g the floor is at %g", r, got)
		}
		if got := AfterWindow(p0, w, 1); math.Abs(got-target) > 1e-9 {
			t.Fatalf("cleared by %g the floor is at %g", w, got)
		}
		if w > r+1e-12 { // p^(1-c) lies under the chord p + c(1-p): a window is never more than thinning
			t.Fatalf("window %g, thinning %g", w, r)
		}
		half := rapid.Float64Range(0, 0.2).Draw(t, "half")
		n := NeedOf(Estimate{Value: p0, Low95: math.Max(p0-half, 0), High95: math.Min(p0+half, 1)}, target)
		for _, e := range []Estimate{n.Thinning, n.Window} {
			if e.Low95 > e.Value+1e-12 || e.High95 < e.Value-1e-12 || e.Low95 < 0 || e.High95 > 1 {
				t.Fatalf("interval %+v", e)
			}
		}
		year := YearLimits{low, high}
		if c := year.Cut(r); r > 0 && (c < low || c > high) {
			t.Fatalf("a need of %g gives a year's cut of %g", r, c)
		}
		path, reached := ThinningPath(p0, target, high, g)
		for _, s := range path {
			if s.Cut > high+1e-12 || s.Cut < 0 || s.After > target+1e-9 || s.After < s.Before-1e-12 {
				t.Fatalf("season %+v", s)
			}
		}
		if n := SeasonsNeeded(p0, target, high, g); reached && n.N != len(path) && p0 < target {
			t.Fatalf("%+v for a path of %d", n, len(path))
		}
	})
}
