package metrics

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// claimable times the standard error is the smallest change worth claiming: 80 %
// power at 5 % two-sided, 1.96 + 0.84.
const claimable = 2.8

// MeanChange is the mean of the trees' own differences (after less before), in
// their unit.
type MeanChange struct {
	Trees         int
	Mean, SE      float64
	DF            float64
	Low95, High95 float64
	// Smallest is the least change that would have been seen.
	Smallest float64
	// Controls is how many untouched trees the change was held against.
	Controls int
}

// T is the mean over its standard error; +-Inf where all trees changed alike.
func (m MeanChange) T() float64 { return m.Mean / m.SE }

// Seen tells whether the interval leaves 0 out.
func (m MeanChange) Seen() bool { return m.Low95 > 0 || m.High95 < 0 }

// MeanOfChanges is the paired t interval over trees, one difference a tree: the
// tree is the unit, photos under one tree are alike (t with k-1 degrees of
// freedom, which is the correction for few clusters). ok is false for fewer
// than two trees.
func MeanOfChanges(d []float64) (m MeanChange, ok bool) {
	if len(d) < 2 {
		return MeanChange{Trees: len(d)}, false
	}
	mean, sd := stat.MeanStdDev(d, nil)
	n := float64(len(d))
	return withInterval(MeanChange{Trees: len(d), Mean: mean, SE: sd / math.Sqrt(n), DF: n - 1}), true
}

// AgainstControl is the change of the treated trees less that of the untouched
// ones: before-after-control-impact (Green 1979; Stewart-Oaten, Murdoch and
// Parker 1986, Ecology 67:929-940), with Welch's degrees of freedom. What changed
// under all trees alike (sun, leaf flush, floor colour) falls out. ok is false
// for fewer than two trees on either side.
func AgainstControl(treated, control []float64) (m MeanChange, ok bool) {
	t, okT := MeanOfChanges(treated)
	c, okC := MeanOfChanges(control)
	if !okT || !okC {
		return MeanChange{Trees: len(treated), Controls: len(control)}, false
	}
	vt, vc := t.SE*t.SE, c.SE*c.SE
	m = MeanChange{Trees: t.Trees, Controls: c.Trees, Mean: t.Mean - c.Mean, SE: math.Sqrt(vt + vc), DF: t.DF + c.DF}
	if den := vt*vt/t.DF + vc*vc/c.DF; den > 0 {
		m.DF = (vt + vc) * (vt + vc) / den
	}
	return withInterval(m), true
}

func withInterval(m MeanChange) MeanChange {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: m.DF}.Quantile(0.975)
	m.Low95, m.High95 = m.Mean-t*m.SE, m.Mean+t*m.SE
	m.Smallest = claimable * m.SE
	return m
}

// StudentT95 is the 97.5 % point of Student's t.
func StudentT95(df int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Quantile(0.975)
}
