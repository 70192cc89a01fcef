package metrics

import (
	"math"
	"reflect"
	"testing"
)

// withSD is an estimate with a normal interval.
func withSD(v, sd float64) Estimate {
	return Estimate{Value: v, Low95: v - Z95*sd, High95: v + Z95*sd}
}

// By hand, photos that agree: 0.1 (sd .1) and 0.3 (sd .2). Q = .16 + .64 = .8 < 1: no
// spread beyond the errors. Weights 100 and 25, mean
// (100 x .1 + 25 x .3)/125 = .14, half 1.959964/sqrt(125) = .175304.
func TestCombinePhotosThatAgree(t *testing.T) {
	e, ok := Combine([]Estimate{withSD(0.1, 0.1), withSD(0.3, 0.2)})
	if !ok {
		t.Fatal("not combined")
	}
	near(t, "mean", e.Value, 0.14, 1e-12)
	near(t, "high", e.High95-e.Value, 0.175304, 1e-6)
	near(t, "low", e.Value-e.Low95, 0.175304, 1e-6)
}

// By hand, photos that disagree: 1, 2, 4, each sd 1. Mean 7/3, Q = 14/3, C = 2,
// tau2 = (14/3 - 2)/2 = 4/3. Variance of the mean from the errors 1/3, from the
// spread 4/9; t of 2 degrees is 4.302653 (printed tables):
// half = sqrt(3.841459/3 + 18.51282 x 4/9) = 3.08357.
func TestCombinePhotosThatDisagree(t *testing.T) {
	e, ok := Combine([]Estimate{withSD(1, 1), withSD(2, 1), withSD(4, 1)})
	if !ok {
		t.Fatal("not combined")
	}
	near(t, "mean", e.Value, 7.0/3, 1e-12)
	near(t, "half", e.High95-e.Value, 3.08357, 1e-5)
}

// With equal errors the moment estimate is the sample variance less the error:
// any textbook's identity (DerSimonian and Laird 1986, equal weights).
func TestPoolBetweenEqualErrors(t *testing.T) {
	b := poolBetween([][]look{{{1, .5}, {3, .5}, {8, .5}}})
	near(t, "variance", b.variance, 13-0.25, 1e-9) // sample variance of 1, 3, 8 is 13
	near(t, "df", b.df, 2, 0)
	two := poolBetween([][]look{{{1, .5}, {3, .5}, {8, .5}}, {{11, .5}, {13, .5}, {18, .5}}, {{7, 1}}})
	near(t, "pooled over like trees", two.variance, 13-0.25, 1e-9)
	near(t, "pooled df", two.df, 4, 0)
}

func TestCombineShares(t *testing.T) {
	e, ok := CombineShares([]Estimate{FromShare(0.05, 0.02, 0.001), FromShare(0.15, 0.02, 0.001), {Value: 0, Low95: 0, High95: 0.02}})
	if !ok || !(e.Low95 > 0 && e.Low95 < e.Value && e.Value < e.High95 && e.High95 < 1) {
		t.Errorf("shares combined to %+v", e)
	}
	// Like shares stay where they are, and the error falls by sqrt(2).
	one := FromShare(0.2, 0.025, 0.001)
	e, _ = CombineShares([]Estimate{one, one})
	near(t, "same share", e.Value, 0.2, 1e-12)
	logit := logitScale().to
	near(t, "width", logit(e.High95)-logit(e.Low95), (logit(one.High95)-logit(one.Low95))/math.Sqrt2, 1e-9)
}

func TestCombineFew(t *testing.T) {
	if _, ok := Combine(nil); ok {
		t.Error("nothing was combined to something")
	}
	e := Estimate{Value: 3, Low95: 2, High95: 5, Flags: []string{"a"}}
	if got, ok := Combine([]Estimate{e}); !ok || !reflect.DeepEqual(got, e) {
		t.Errorf("one estimate became %+v", got)
	}
	two, _ := Combine([]Estimate{e, {Value: 3, Low95: 2, High95: 4, Flags: []string{"b", "a"}}})
	if !reflect.DeepEqual(two.Flags, []string{"a", "b"}) {
		t.Errorf("flags %q", two.Flags)
	}
}
