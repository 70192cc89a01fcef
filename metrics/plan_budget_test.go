package metrics

import (
	"math"
	"testing"
)

// The tables are those of the trade notes, section 8, calculated from the formulas
// independently of this code. halfDigit is half a unit of their last digit.
const halfDigit = 0.00005 + 1e-12

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.5f, want %.5f", what, got, want)
	}
}

func TestShareToRemove(t *testing.T) { // trade 8.1, target 0.20
	for _, c := range []struct{ p0, thin, window, thin25, window25 float64 }{
		{0.01, .6505, .1919, .0316, .2575}, {0.02, .5886, .1837, .0532, .2650},
		{0.03, .5410, .1753, .0721, .2725}, {0.05, .4628, .1579, .1057, .2875},
		{0.08, .3628, .1304, .1504, .3100}, {0.10, .3010, .1111, .1778, .3250},
		{0.12, .2409, .0909, .2039, .3400}, {0.15, .1516, .0588, .2410, .3625},
		{0.18, .0614, .0244, .2763, .3850}, {0.20, 0, 0, .2991, .4000},
	} {
		within(t, "thinning", ThinningShare(c.p0, 0.20), c.thin, halfDigit)
		within(t, "window", WindowShare(c.p0, 0.20), c.window, halfDigit)
		within(t, "after thinning a quarter", AfterThinning(c.p0, 0.25), c.thin25, halfDigit)
		within(t, "after clearing a quarter", AfterWindow(c.p0, 0.25, 1), c.window25, halfDigit)
	}
}

func TestShareToRemoveError(t *testing.T) { // trade 8.2, three decimals
	for _, c := range []struct{ p0, se, want float64 }{
		{.05, .015, .054}, {.08, .02, .063}, {.10, .02, .061}, {.15, .025, .075},
	} {
		within(t, "se(r)", ThinningShareSE(c.p0, c.se, 0.20), c.want, 0.0005)
	}
}

// The exact interval agrees with first order where the error is small, and is skew
// the right way where it is not.
func TestNeedIntervalIsExact(t *testing.T) {
	small := Estimate{Value: 0.10, Low95: 0.10 - Z95*0.001, High95: 0.10 + Z95*0.001}
	n := NeedOf(small, 0.20)
	// second order of r over 2 se: under a hundredth of the interval
	within(t, "half width", (n.Thinning.High95-n.Thinning.Low95)/2, Z95*ThinningShareSE(0.10, 0.001, 0.20), 0.0002)
	wide := NeedOf(FromShare(0.05, 0.015, shareFloor), 0.20) // trade 5.2: .0276 to .0890
	within(t, "low end", wide.Thinning.Low95, 1-math.Log(.2)/math.Log(.0890), 0.0005)
	within(t, "high end", wide.Thinning.High95, 1-math.Log(.2)/math.Log(.0276), 0.0005)
	within(t, "window low", wide.Window.Low95, (.2-.0890)/(1-.0890), 0.0005)
}

func TestNoSunGivesABoundAndMetGivesNothing(t *testing.T) {
	n := NeedOf(Estimate{Value: 0, Low95: 0, High95: 0.02}, 0.20)
	if !n.Bound || n.Met {
		t.Errorf("no sun: %+v", n)
	}
	within(t, "bound", n.Thinning.Value, .5886, halfDigit) // table 8.1 at P0 = 0.02
	within(t, "its upper end", n.Thinning.High95, 1, 0)
	for _, p := range []float64{0.20, 0.35} {
		if n := NeedOf(Estimate{Value: p, Low95: p - .02, High95: p + .02}, 0.20); !n.Met || n.Thinning.Value != 0 || n.Window.Value != 0 {
			t.Errorf("floor at %g: %+v", p, n)
		}
	}
	if n := NeedOf(Estimate{Value: 0.18, Low95: .14, High95: .23}, 0.20); n.Met || !n.Unsure {
		t.Errorf("target within the interval: %+v", n)
	}
}

func TestYearLimits(t *testing.T) {
	l := YearLimits{0.15, 0.25} // trade 6.1, common practice
	for need, want := range map[float64]float64{0: 0, 0.06: 0.15, 0.15: 0.15, 0.20: 0.20, 0.46: 0.25, -1: 0} {
		if got := l.Cut(need); got != want {
			t.Errorf("need %g: cut %g, want %g", need, got, want)
		}
	}
}

func TestSectorsAgainstThinning(t *testing.T) { // trade 8.4: one of n equal sectors cleared
	for _, c := range []struct{ p0, n, even, clear float64 }{
		{.02, 5, .0437, .2160}, {.05, 4, .1057, .2875}, {.05, 5, .0910, .2400}, {.08, 5, .1326, .2640}, {.10, 4, .1778, .3250},
	} {
		within(t, "evenly", AfterThinning(c.p0, 1/c.n), c.even, halfDigit)
		within(t, "sector clear", AfterWindow(c.p0, 1/c.n, 1), c.clear, halfDigit)
	}
}

// A sector left at half its density (trade 8.4) has P of sqrt(p0) in it: the site
// factor learned from such trees must give their own light back.
func TestSiteFactorGivesItsOwnTreesBack(t *testing.T) {
	half := []struct{ p0, n, want float64 }{{.02, 5, .0443}, {.05, 4, .0934}, {.05, 5, .0847}, {.08, 5, .1206}, {.10, 4, .1541}}
	for _, c := range half {
		pair := SitePair{c.p0, c.want, 1 / c.n}
		q, ok := LearnSite([]SitePair{pair, pair, pair})
		if !ok {
			t.Fatal("three pairs are enough")
		}
		within(t, "light with q", AfterWindow(c.p0, 1/c.n, q.Value), c.want, 1e-12)
		// by hand: (sqrt(p0)-p0)/(1-p0)
		within(t, "q", q.Value, (math.Sqrt(c.p0)-c.p0)/(1-c.p0), 2e-4*c.n)
	}
	if _, ok := LearnSite([]SitePair{{.05, .24, .2}, {.05, .24, 0}, {.05, math.NaN(), .2}}); ok {
		t.Error("one usable pair was taken for three")
	}
	full := SitePair{.05, .24, .2}
	q, _ := LearnSite([]SitePair{full, full, full})
	within(t, "q of a sector fully clear", q.Value, 1, 1e-9)
	within(t, "need with q of 1", NeedOf(Estimate{Value: .05, Low95: .04, High95: .06}, .2).WithSite(q).Value, .1579, halfDigit)
}
