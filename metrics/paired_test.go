package metrics

import (
	"math"
	"testing"
)

func differences(before, after []float64) []float64 {
	d := make([]float64, len(before))
	for i := range d {
		d[i] = after[i] - before[i]
	}
	return d
}

// Trade notes 5.3, both worked examples.
func workedTrees() (treated, control []float64) {
	treated = differences([]float64{.06, .08, .05, .10, .07, .09}, []float64{.19, .22, .16, .24, .17, .21})
	control = differences([]float64{.07, .09, .06, .08}, []float64{.06, .08, .06, .06})
	return treated, control
}

func TestPairedWorkedExample(t *testing.T) {
	treated, _ := workedTrees()
	m, ok := MeanOfChanges(treated)
	if !ok || m.Trees != 6 || m.DF != 5 {
		t.Fatalf("%+v", m)
	}
	near(t, "mean", m.Mean, .12333, 5e-6)
	near(t, "se", m.SE, .00667, 5e-6)
	near(t, "t", m.T(), 18.50, 5e-3)
	near(t, "low", m.Low95, .1062, 5e-5)
	near(t, "high", m.High95, .1405, 5e-5)
	near(t, "smallest", m.Smallest, 2.8*m.SE, 1e-12)
	if !m.Seen() {
		t.Error("a change of twelve points went unseen")
	}
}

func TestBACIWorkedExample(t *testing.T) {
	treated, control := workedTrees()
	c, _ := MeanOfChanges(control)
	near(t, "control mean", c.Mean, -.0100, 1e-12)
	m, ok := AgainstControl(treated, control)
	if !ok || m.Trees != 6 || m.Controls != 4 {
		t.Fatalf("%+v", m)
	}
	near(t, "effect", m.Mean, .13333, 5e-6)
	near(t, "se", m.SE, .00782, 5e-6)
	near(t, "t", m.T(), 17.06, 5e-3)
	near(t, "df", m.DF, 7.66, 5e-3)
}

func TestFewTreesGiveNoInterval(t *testing.T) {
	if _, ok := MeanOfChanges([]float64{.1}); ok {
		t.Error("one tree gave a spread")
	}
	if _, ok := AgainstControl([]float64{.1, .2}, []float64{0}); ok {
		t.Error("one control gave a spread")
	}
	m, ok := MeanOfChanges([]float64{.1, .1, .1}) // all alike: no spread at all
	if !ok || m.SE > 1e-12 || math.IsNaN(m.Low95) {
		t.Errorf("%+v", m)
	}
	if m, _ := MeanOfChanges([]float64{-.05, .06, .01, -.02}); m.Seen() {
		t.Errorf("a change was claimed: %+v", m)
	}
}
