package metrics

import (
	"math"
	"sort"
)

// Growth is a year's regrowth of leaf: a range within which every value is as
// likely, where it was assumed, or a mean with its error, where it was learned.
type Growth struct {
	Low, High float64 // assumed; equal ends are one value
	// Learned is nil where it was assumed.
	Learned *Estimate
}

// Under is when a floor's light falls under its target again, in years from the
// reading.
type Under struct {
	// Years is the median; NaN where half of the chances or more say never.
	Years, Low95, High95 float64
	// Now is the chance that it is under already; Never that it never falls there.
	Now, Never float64
}

// underDraws put 50 beyond each end of the interval (as the score's).
const underDraws = 2000

// FallsUnder follows a canopy's leaf from a sunlit share as it regrows: with L = -ln P
// and L times (1 + g) a year, P comes to the target after
//
//	ln(ln Pt / ln P) / ln(1 + g)
//
// years. The share's error (normal on its logit) and the growth's are drawn together,
// the same draws in every run. High95 is +Inf where more than 2.5 % of the draws never
// get there.
func FallsUnder(share Estimate, target float64, g Growth, seed uint64) Under {
	sc := logitScale()
	mean, sd := sc.to(share.Value), (sc.to(share.High95)-sc.to(share.Low95))/(2*Z95)
	rng := stream(seed, "falls under")
	years := make([]float64, underDraws)
	var u Under
	for i := range years {
		p := sc.from(mean + sd*rng.NormFloat64())
		rate := g.draw(rng.Float64(), rng.NormFloat64())
		years[i] = yearsTo(p, target, rate)
		switch {
		case years[i] <= 0:
			u.Now += 1.0 / underDraws
		case math.IsInf(years[i], 1):
			u.Never += 1.0 / underDraws
		}
	}
	sort.Float64s(years)
	u.Years, u.Low95, u.High95 = years[underDraws/2], quantileOf(years, 0.025), quantileOf(years, 0.975)
	if math.IsInf(u.Years, 1) {
		u.Years = math.NaN()
	}
	return u
}

// draw is one growth: uniform between the ends by u, or normal by n.
func (g Growth) draw(u, n float64) float64 {
	if g.Learned != nil {
		return g.Learned.Value + g.Learned.SD()*n
	}
	return g.Low + u*(g.High-g.Low)
}

// yearsTo is how long a share takes to fall to a target: 0 where it is there, +Inf
// where nothing grows.
func yearsTo(p, target, growth float64) float64 {
	switch {
	case p <= target:
		return 0
	case p >= 1 || growth <= 0:
		return math.Inf(1)
	}
	return math.Log(math.Log(target)/math.Log(p)) / math.Log1p(growth)
}
