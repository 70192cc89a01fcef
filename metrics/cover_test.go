package metrics

import (
	"math"
	"testing"
)

// Worked values of the trade notes (calculated from the formulas of Macfarlane et
// al. 2007 and Pekin and Macfarlane 2009), k = 0.5.
func TestCoverWorkedValues(t *testing.T) {
	for _, c := range []struct{ foliage, crown, phi, pai, effective, omega float64 }{
		{.82, .94, .12766, 3.8698, 3.4296, .8863},
		{.65, .80, .18750, 2.6784, 2.0996, .7839},
	} {
		near := func(what string, got, want, tol float64) {
			if math.Abs(got-want) > tol {
				t.Errorf("f_f %g, f_c %g: %s = %.5f, want %.5f", c.foliage, c.crown, what, got, want)
			}
		}
		near("porosity", CrownPorosity(c.foliage, c.crown), c.phi, 0.5e-5)
		pai, omega := CoverPAI(c.foliage, c.crown, 0.5), ZenithClumping(c.foliage, c.crown)
		near("PAI", pai, c.pai, 0.5e-4)
		near("clumping", omega, c.omega, 0.5e-4)
		near("effective PAI", -math.Log(1-c.foliage)/0.5, c.effective, 0.5e-4)
		near("PAI times clumping", pai*omega, c.effective, 2e-4)
	}
}

func TestCoverEnds(t *testing.T) {
	if v := CrownPorosity(0, 0); !math.IsNaN(v) {
		t.Errorf("porosity without a crown = %v, want none", v)
	}
	if v := CoverPAI(.9, .9, .5); !math.IsInf(v, 1) {
		t.Errorf("PAI of a crown without a gap = %v, want no bound above", v)
	}
	closed := SkyShares{FieldPx: 1000}
	if _, ok := closed.EffectivePAI(); ok {
		t.Error("a closed canopy has a bound, no plant area index")
	}
	if _, ok := closed.PAI(); ok {
		t.Error("a closed canopy has a bound, no plant area index")
	}
	if e := closed.Sky(); e.Value != 0 || e.High95 <= 0 {
		t.Errorf("sky of a closed canopy = %+v, want 0 and a little above", e)
	}
}

// One gap of 30 % of the field, and 100 small ones of 0.1 %: all sky 40 %, of which
// the large gap alone lies between crowns.
func TestSkyShares(t *testing.T) {
	s := SkyShares{Low: .39, Mid: .40, High: .41, FieldPx: 1_000_000, GapPx: []int{300_000}, Quarters: []float64{.3, .4, .4, .5}}
	for range 100 {
		s.GapPx = append(s.GapPx, 1000)
	}
	if f, c := s.FoliageCover(), s.CrownCover(); math.Abs(f.Value-.6) > 1e-9 || math.Abs(c.Value-.7) > 1e-9 {
		t.Errorf("foliage %.4f, crown %.4f, want 0.6 and 0.7", f.Value, c.Value)
	}
	phi, ok := s.Porosity()
	if !ok || math.Abs(phi.Value-1.0/7) > 1e-9 {
		t.Errorf("porosity %.4f, want 1/7", phi.Value)
	}
	pai, _ := s.PAI()
	eff, _ := s.EffectivePAI()
	om, _ := s.Clumping()
	for what, e := range map[string]Estimate{"porosity": phi, "PAI": pai, "effective PAI": eff, "clumping": om, "sky": s.Sky(), "expected": s.ExpectedSunlit()} {
		if !(e.Low95 < e.Value && e.Value < e.High95) {
			t.Errorf("%s: interval %.3f..%.3f does not hold %.3f", what, e.Low95, e.High95, e.Value)
		}
	}
	if eff.Value >= pai.Value {
		t.Errorf("effective index %.2f not under the whole %.2f, though there is a large gap", eff.Value, pai.Value)
	}
	// Leaves as flat as FlatX lie within the interval: G(0) is 0.7245 there.
	if low := -math.Log(.4) / .7245; eff.Low95 > low {
		t.Errorf("effective index from %.2f, flat leaves would give %.2f", eff.Low95, low)
	}
	// A lower sun sees less sky through the same canopy.
	if e := s.ExpectedSunlit(); e.Value >= s.Mid {
		t.Errorf("expected %.3f of the floor sunlit at 20 degrees, %.3f of the zenith's sky is open", e.Value, s.Mid)
	}
}
