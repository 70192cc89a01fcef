package metrics

import (
	"math"
	"testing"
)

// Worked values of the trade notes, calculated from Lang and Xiang's formula.
func TestDappleWorkedValues(t *testing.T) {
	for _, c := range []struct {
		shares []float64
		omega  float64
	}{
		{[]float64{.2, .2, .2, .2}, 1},
		{[]float64{.1, .1, .3, .3}, .9180},
		{[]float64{.05, .05, .05, .65}, .6836},
		{[]float64{.02, .05, .1, .6}, .6780},
		{[]float64{.05, .05, .05, .05, .05, .05, .5, .5}, .7508},
	} {
		if d := DappleOf(c.shares, 0); math.Abs(d.Clumping-c.omega) > 0.5e-4 || d.Floored > 0 {
			t.Errorf("%v: clumping %.4f, %d floored, want %.4f and none", c.shares, d.Clumping, d.Floored, c.omega)
		}
	}
}

func TestDappleEnds(t *testing.T) {
	if d := DappleOf(nil, 0); d.Segments != 0 || !math.IsNaN(d.Clumping) {
		t.Errorf("no segments: %+v", d)
	}
	if d := DappleOf([]float64{0, 0}, 0); d.DarkShare != 1 || d.Floored != 2 || !math.IsNaN(d.Clumping) {
		t.Errorf("all dark: %+v", d)
	}
	d := DappleOf([]float64{0, .04, .06, .3}, 0)
	if d.Floored != 1 || d.DarkShare != .5 || !(d.Clumping > 0 && d.Clumping < 1) {
		t.Errorf("one black segment, one dim: %+v", d)
	}
}

// Trade notes, table of shifts (calculated): layers at 2.5 and 5 m.
func TestShadeShiftWorkedValues(t *testing.T) {
	for _, c := range []struct{ h, zenith, want float64 }{
		{2.5, 5, .22}, {2.5, 20, .91}, {2.5, 30, 1.44}, {2.5, 48.4, 2.82},
		{5, 5, .44}, {5, 20, 1.82}, {5, 30, 2.89}, {5, 48.4, 5.63},
	} {
		if got := ShadeShiftM(c.h, c.zenith); math.Abs(got-c.want) > 0.005+1e-9 {
			t.Errorf("%g m at %g degrees: %.3f m, want %.2f", c.h, c.zenith, got, c.want)
		}
	}
}
