package metrics

import (
	"math"
	"testing"
)

// "Sunny 16" (common practice): in full sun a hand-set camera wants f/16 at 1/S s. The
// grey card then comes out in the middle, and a high sun gives level ground 70 to 110
// kilolux (common practice); a third of a stop to either side is the rule's own grain.
func TestIlluminanceBySunnySixteen(t *testing.T) {
	for _, iso := range []float64{50, 100, 400} {
		got := Exposure{TimeSec: 1 / iso, FNumber: 16, ISO: iso}.IlluminanceLux(0.18)
		if third := math.Cbrt(2); got < 70000/third || got > 110000*third {
			t.Errorf("ISO %.0f: %.0f lux", iso, got)
		}
	}
	if got := (Exposure{FNumber: 2, ISO: 100}).IlluminanceLux(0.18); got != 0 {
		t.Errorf("no exposure time: %.0f lux", got)
	}
}

// Exposure steps are factors of two: two stops more time for the same level is a
// quarter of the light; half the level is half.
func TestIlluminanceByStops(t *testing.T) {
	e := Exposure{TimeSec: 1.0 / 400, FNumber: 8, ISO: 100}
	full := e.IlluminanceLux(0.18)
	e.TimeSec *= 4
	if got := e.IlluminanceLux(0.09); math.Abs(got/full-1.0/8) > 1e-9 {
		t.Errorf("%.3f of it, want an eighth", got/full)
	}
}

// Common practice: 100 kilolux under a high clear sun, 10 to 25 under a closed cover;
// at night nothing.
func TestSkyIlluminance(t *testing.T) {
	if got := ClearIlluminanceLux(65); got < 90000 || got > 120000 {
		t.Errorf("clear at 65 degrees: %.0f lux", got)
	}
	if got := OvercastIlluminanceLux(65); got < 10000 || got > 25000 {
		t.Errorf("overcast at 65 degrees: %.0f lux", got)
	}
	if ClearIlluminanceLux(-1) != 0 || OvercastIlluminanceLux(0) != 0 {
		t.Error("light without a sun")
	}
}
