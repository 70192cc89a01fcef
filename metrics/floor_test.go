package metrics

import (
	"math"
	"strings"
	"testing"
)

// Two pixels, one showing three times the ground of the other: by area the lit
// one is 3/4, by count it would be 1/2.
func TestFloorSharesWeighByArea(t *testing.T) {
	p := FloorPixels{
		Fraction: []float32{1, 0, 1}, Linear: []float32{1, 0, 9},
		Lit: []bool{true, false, true}, Usable: []bool{true, true, false}, AreaM2: []float32{3, 1, 2},
	}
	s := p.Shares()
	if s.Linear != 0.75 || s.Binary != 0.75 || s.Fraction != 0.75 || s.AreaM2 != 4 || s.LeftOutM2 != 2 {
		t.Errorf("%+v", s)
	}
}

func TestFloorSharesOfNothing(t *testing.T) {
	if s := (FloorPixels{}).Shares(); s != (FloorShares{}) {
		t.Errorf("%+v", s)
	}
	one := FloorPixels{Usable: []bool{true}, AreaM2: []float32{2}}
	if s := one.Shares(); s.AreaM2 != 2 || s.Fraction != 0 {
		t.Errorf("%+v", s)
	}
}

func TestFloorConditions(t *testing.T) {
	low, high, sharp, soft := 24.0, 60.0, 2.0, 15.0
	good := FloorConditions{SunElevationDeg: &high, BlurMM: &sharp, BurntShare: 0.001, AreaM2: 3}
	if err := good.Check(); err != nil {
		t.Errorf("good photo refused: %v", err)
	}
	if err := (FloorConditions{AreaM2: 3}).Check(); err != nil {
		t.Errorf("what could not be told refused a photo: %v", err)
	}
	for says, change := range map[string]func(*FloorConditions){
		"24 degrees": func(c *FloorConditions) { c.SunElevationDeg = &low },
		"15 mm":      func(c *FloorConditions) { c.BlurMM = &soft },
		"burnt out":  func(c *FloorConditions) { c.BurntShare = 0.021 },
		"0.3 m2":     func(c *FloorConditions) { c.AreaM2 = 0.3 },
	} {
		c := good
		change(&c)
		u, ok := AsUnusable(c.Check())
		if !ok || !strings.Contains(u.Reason, says) || u.Mend == "" {
			t.Errorf("%s: got %v", says, u)
		}
	}
}

func TestOneLight(t *testing.T) {
	shade, err := OneLight{GreySeen: true, GreyRedToBlue: 0.6}.Share()
	if err != nil || shade.Value != 0 || shade.High95 <= 0 || shade.High95 > 0.05 {
		t.Errorf("blue light: %+v, %v", shade, err)
	}
	sun, err := OneLight{GreySeen: true, GreyRedToBlue: 1.06}.Share()
	if err != nil || sun.Value != 1 || sun.Low95 >= 1 || sun.Low95 < 0.95 {
		t.Errorf("warm light: %+v, %v", sun, err)
	}
	// An overcast sky at 60 degrees gives 18 of a clear one's 101 kilolux, under a warm
	// balance too; twice as much by the camera's error is still no sun.
	for _, ofClear := range []float64{0.18, 0.36} {
		_, err := OneLight{GreySeen: true, GreyRedToBlue: 1.06, OfClear: ofClear}.Share()
		if u, ok := AsUnusable(err); !ok || !strings.Contains(u.Reason, "exposure") {
			t.Errorf("%.0f %% of a clear sky's light: %v", 100*ofClear, err)
		}
	}
	for _, colour := range []float64{0.7, 0.95, 1.06} {
		if e, err := (OneLight{GreySeen: true, GreyRedToBlue: colour, OfClear: 0.9}).Share(); err != nil || e.Value != 1 {
			t.Errorf("as bright as the sun, red to blue %.2f: %+v, %v", colour, e, err)
		}
	}
	if _, err := (OneLight{GreySeen: true, GreyRedToBlue: 0.6, Patchy: true, Contrast: 1.8}).Share(); err == nil {
		t.Error("patches of one colour passed for all shade")
	}
	if _, err := (OneLight{GreySeen: true, GreyRedToBlue: 0.6, BoardRange: 3, Contrast: 1.8}).Share(); err == nil {
		t.Error("a board half in the sun passed for all shade")
	}
	for _, o := range []OneLight{{GreySeen: true, GreyRedToBlue: 1, Contrast: 1.8}, {GreyRedToBlue: 0.5, Contrast: 1.8}} {
		_, err := o.Share()
		if u, ok := AsUnusable(err); !ok || !strings.Contains(u.Reason, "1.8-fold") {
			t.Errorf("%+v: got %v", o, err)
		}
	}
}

// With the opinions agreeing, the curve known and nothing hidden the error is the
// two that never go: 0.006 and 13 % of the share times the root of what is not lit,
// at .2 hypot(.006, .0232551) = .0240167. On the logit scale: 1.96 x .0240167/.16 =
// .2942, so .2 goes to .1570 and .2512.
func TestFloorShareInterval(t *testing.T) {
	e := FloorShare(FloorShares{Fraction: 0.2, Linear: 0.2, Binary: 0.2, AreaM2: 4}, FloorLight{Contrast: 10})
	if math.Abs(e.Low95-0.1570) > 5e-4 || math.Abs(e.High95-0.2512) > 5e-4 || len(e.Flags) != 0 {
		t.Errorf("%+v", e)
	}
	for name, wide := range map[string]Estimate{
		"opinions apart": FloorShare(FloorShares{Fraction: 0.2, Linear: 0.3, Binary: 0.2, AreaM2: 4}, FloorLight{Contrast: 10}),
		"curve unknown":  FloorShare(FloorShares{Fraction: 0.2, Linear: 0.2, Binary: 0.2, AreaM2: 4}, FloorLight{Contrast: 10, ToneSD: 0.3}),
		"half hidden":    FloorShare(FloorShares{Fraction: 0.2, Linear: 0.2, Binary: 0.2, AreaM2: 2, LeftOutM2: 2}, FloorLight{Contrast: 10}),
	} {
		if wide.High95-wide.Low95 <= e.High95-e.Low95 {
			t.Errorf("%s: the interval is no wider", name)
		}
	}
	told := FloorShare(FloorShares{Fraction: 0.2, Binary: 0.1, AreaM2: 2, LeftOutM2: 2}, FloorLight{Contrast: 3.5, DarkShare: 0.2})
	if len(told.Flags) != 4 {
		t.Errorf("doubt is not told: %v", told.Flags)
	}
	for _, u := range []float64{0, 1} {
		e := FloorShare(FloorShares{Fraction: u, Linear: u, Binary: u, AreaM2: 4}, FloorLight{Contrast: 10})
		if e.Value != u || e.Low95 == e.High95 || e.Low95 < 0 || e.High95 > 1 {
			t.Errorf("share %g: %+v", u, e)
		}
	}
}
