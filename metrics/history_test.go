package metrics

import (
	"math"
	"testing"
)

// Trade notes 8.3, worked path P0 = .05, g = .18: after the first cut .1057, next
// year .0706. So from .1057 it takes one year to fall to .0706; and two years at
// g = .25 from .1504 by .0937 to (no cut between) exp(-ln(1/.1504) 1.25^2) = .0518.
func TestYearsToFallByTheWorkedPath(t *testing.T) {
	near(t, "one year", yearsTo(.1057, .0706, .18), 1, 5e-3)
	near(t, "two years", yearsTo(.1504, math.Pow(.1504, 1.5625), .25), 2, 1e-9)
	if yearsTo(.05, .2, .2) != 0 || !math.IsInf(yearsTo(.3, .2, 0), 1) {
		t.Error("under already, or without growth")
	}
}

// A share known exactly and one growth give one date; the default range of growth
// an interval between its two dates: ln(ln .2/ln .3)/ln 1.25 = 1.2995 and /ln 1.18 = 1.7520.
func TestFallsUnder(t *testing.T) {
	exactly := Estimate{Value: .3, Low95: .3, High95: .3}
	u := FallsUnder(exactly, .2, Growth{Low: .18, High: .25}, 1)
	if u.Low95 < 1.299 || u.High95 > 1.753 || u.High95-u.Low95 < 0.40 {
		t.Errorf("%+v, want nearly all of 1.30 to 1.75 years", u)
	}
	sure := FallsUnder(exactly, .2, Growth{Low: .2, High: .2}, 1)
	near(t, "one growth", sure.High95-sure.Low95, 0, 1e-12)
	if u := FallsUnder(Estimate{Value: .05, Low95: .03, High95: .08}, .2, Growth{Low: .2, High: .2}, 1); u.Now < 0.99 || u.Years != 0 {
		t.Errorf("a dark floor: %+v", u)
	}
	none := FallsUnder(exactly, .2, Growth{Learned: &Estimate{Value: -.1, Low95: -.12, High95: -.08}}, 1)
	if none.Never < 0.99 || !math.IsNaN(none.Years) || !math.IsInf(none.High95, 1) {
		t.Errorf("a canopy that thins out: %+v", none)
	}
}
