package metrics

import (
	"math"
	"testing"
)

func TestSeasonsNeeded(t *testing.T) { // trade 8.3, target 0.20, cap 25 %
	gs := []float64{0, .10, .18, .25, .30, .34}
	for p0, want := range map[float64][]string{
		.02: {"4", "5", "6", "11", "over 12", "never"},
		.05: {"3", "3", "4", "7", "over 12", "never"},
		.08: {"2", "2", "3", "4", "8", "never"},
		.10: {"2", "2", "2", "3", "4", "never"},
	} {
		for i, g := range gs {
			if got := SeasonsNeeded(p0, 0.20, 0.25, g).Words(); got != want[i] {
				t.Errorf("P0 %g, g %g: %s seasons, want %s", p0, g, got, want[i])
			}
		}
	}
	if s := SeasonsNeeded(0.22, 0.20, 0.25, 0.2); s.N != 0 || s.Never || s.Over {
		t.Errorf("target met: %+v", s)
	}
	// One cut that reaches the target is no "never", however fast it grows.
	if got := SeasonsNeeded(0.15, 0.20, 0.25, 0.5).Words(); got != "1" {
		t.Errorf("one cut from the target: %s", got)
	}
}

func TestThinningPath(t *testing.T) { // the two worked paths of trade 8.3
	for _, c := range []struct {
		p0, g float64
		want  []Season
	}{
		{.05, .18, []Season{{.0500, .25, .1057}, {.0706, .25, .1369}, {.0957, .25, .1721}, {.1254, .225, .2000}}},
		{.08, .25, []Season{{.0800, .25, .1504}, {.0937, .25, .1693}, {.1086, .25, .1892}, {.1248, .227, .2000}}},
	} {
		path, reached := ThinningPath(c.p0, 0.20, 0.25, c.g)
		if !reached || len(path) != len(c.want) {
			t.Fatalf("P0 %g: %d seasons, reached %v", c.p0, len(path), reached)
		}
		for i, s := range path {
			within(t, "before", s.Before, c.want[i].Before, halfDigit)
			within(t, "cut", s.Cut, c.want[i].Cut, 0.0005) // 22.5 % and 22.7 %: one decimal
			within(t, "after", s.After, c.want[i].After, halfDigit)
		}
	}
}

func TestMaintenanceAndNever(t *testing.T) { // trade 8.3
	for g, want := range map[float64]float64{.10: .091, .176: .150, .20: .167, .25: .20, 1.0 / 3: .25} {
		within(t, "maintenance", MaintenanceShare(g), want, 0.0005)
	}
	if !ThinningNeverGains(0.25, 1.0/3) || ThinningNeverGains(0.25, 0.33) {
		t.Error("a cap of 25 % is cancelled by a third's regrowth, not by less")
	}
}

// With no error and one g the outlook is the count itself; with a wide floor it
// spans the counts at its ends.
func TestOutlookSpansWhatMayBeTrue(t *testing.T) {
	sure := Estimate{Value: .05, Low95: .0499999, High95: .0500001}
	o := ThinningOutlook(sure, .20, .25, Range{.18, .18}, 1, "a")
	if o.Low95.N != 4 || o.Median.N != 4 || o.High95.N != 4 || o.NeverChance != 0 {
		t.Errorf("sure tree: %+v, want 4 seasons (trade 8.3)", o)
	}
	wide := ThinningOutlook(Estimate{Value: .05, Low95: .02, High95: .10}, .20, .25, Range{.18, .25}, 1, "a")
	if wide.Low95.N < 2 || wide.Low95.N > 3 || wide.High95.order() < 7 || wide.High95.order() > 11 {
		// table 8.3: P0 .10 takes 2 (g .18) to 3 (g .25), P0 .02 6 to 11
		t.Errorf("wide tree: %+v", wide)
	}
	never := ThinningOutlook(sure, .20, .25, Range{.25, .45}, 1, "a")
	// g is above 1/3 in (0.45-1/3)/(0.45-0.25) = 0.583 of its range; 2000 draws: 3 SD = 0.033
	within(t, "never chance", never.NeverChance, 0.5833, 0.033)
	if again := ThinningOutlook(sure, .20, .25, Range{.25, .45}, 1, "a"); again != never {
		t.Error("the same name and seed gave another outlook")
	}
	if o := ThinningOutlook(Estimate{Value: math.NaN()}, .2, .25, Range{.18, .25}, 1, "a"); o != (Outlook{}) {
		t.Errorf("a floor that is no number: %+v", o)
	}
}

func TestLearnRegrowth(t *testing.T) {
	// Trees that grow by the model at g = 0.18: trade 8.3's path, after 0.1057 to 0.0706,
	// 0.1369 to 0.0957, 0.1721 to 0.1254. Four decimals leave g open by 0.001.
	g, ok := LearnRegrowth([]RegrowthPair{{.1057, .0706, 1}, {.1369, .0957, 1}, {.1721, .1254, 1}})
	if !ok {
		t.Fatal("three pairs are enough")
	}
	within(t, "g", g.Value, 0.18, 0.001)
	// Half a year at the same pace: L grows by sqrt(1.18).
	half := RegrowthPair{.10, math.Pow(.10, math.Sqrt(1.18)), 0.5}
	if g, _ := LearnRegrowth([]RegrowthPair{half, half, half}); math.Abs(g.Value-0.18) > 1e-9 {
		t.Errorf("half a year gives %g, want 0.18 a year", g.Value)
	}
	if _, ok := LearnRegrowth([]RegrowthPair{half, half, {0, .1, 1}, {.2, 1, 1}}); ok {
		t.Error("two usable pairs were taken for three")
	}
	// Student's t, 2 degrees: 4.303 (table) x sd 0.1 / sqrt 3.
	at := func(g float64) RegrowthPair { return RegrowthPair{.10, math.Pow(.10, 1+g), 1} }
	g, _ = LearnRegrowth([]RegrowthPair{at(.1), at(.2), at(.3)})
	within(t, "half width", (g.High95-g.Low95)/2, 4.303*0.1/math.Sqrt(3), 0.0005)
}
