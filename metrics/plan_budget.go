package metrics

import "math"

// The budget of a prune, from the sunlit share of the floor (P0 now, Pt wanted, both
// at one height of the sun). Leaf angle, clumping and leaf area cancel out of it as
// long as clumping stays; what does not cancel: the leaf area here holds wood (a tenth
// to a quarter of it, from memory), which no thinning takes; at a low sun P mixes
// neighbours; and leaf taken from the top shades everything under it, from the skirt
// only its own spot, and both count the same.

// ThinningShare returns the share of the leaf to take out evenly for the floor to go
// from p0 to target sunlit: r = 1 - ln(target)/ln(p0), by P = exp(-K L). 0 where p0 is
// at target or above; 1, its limit, at p0 of 0 or below.
func ThinningShare(p0, target float64) float64 { return removalShare(p0, target) }

// WindowShare returns the share of the shaded sky to clear fully for the same:
// w = (target - p0)/(1 - p0). 0 where p0 is at target or above.
func WindowShare(p0, target float64) float64 {
	if p0 >= target {
		return 0
	}
	return (target - math.Max(p0, 0)) / (1 - math.Max(p0, 0))
}

// AfterThinning returns the sunlit share once cut of the leaf is out evenly:
// p0^(1-cut).
func AfterThinning(p0, cut float64) float64 { return math.Pow(p0, 1-cut) }

// AfterWindow returns the sunlit share once cut of the shaded sky is cleared, by a
// site factor: p0 + site cut (1-p0). Site 1 is a window that lets all of its sun
// through; what grows before, behind and above takes from it.
func AfterWindow(p0, cut, site float64) float64 { return p0 + site*cut*(1-p0) }

// ThinningShareSE returns the standard error of ThinningShare to first order,
// |ln target|/(ln p0)^2 se/p0. Where se is a large part of p0 it is skew, and the
// interval of NeedOf is to be used.
func ThinningShareSE(p0, se, target float64) float64 {
	l := math.Log(p0)
	return math.Abs(math.Log(target)) / (l * l) * se / p0
}

// LightNeed is what the floor's light asks for. The truth of a real cut lies between
// Window and Thinning.
type LightNeed struct {
	Met      bool     // the floor is at its target or above: maintenance only
	Unsure   bool     // the target lies within the floor's 95 % interval
	Thinning Estimate // share of the leaf, evenly
	Window   Estimate // share of the sky, fully cleared
	// Bound: no sun was seen on the floor, and Thinning.Value is the least it can be
	// (at 95 %), no estimate.
	Bound bool
}

// NoSunSeen tells whether a floor's share is none at all: it bounds a need and gives
// no number.
func NoSunSeen(p0 Estimate) bool { return p0.Value < shareFloor }

// NeedOf returns the need at a measured share. Both shares fall as p0 rises, so the
// ends of its interval give the ends of theirs: exact however skew, no delta.
func NeedOf(p0 Estimate, target float64) LightNeed {
	n := LightNeed{
		Met:    p0.Value >= target,
		Unsure: p0.Low95 < target && p0.High95 >= target,
		Thinning: Estimate{
			Value: ThinningShare(p0.Value, target),
			Low95: ThinningShare(p0.High95, target), High95: ThinningShare(p0.Low95, target),
		},
		Window: Estimate{
			Value: WindowShare(p0.Value, target),
			Low95: WindowShare(p0.High95, target), High95: WindowShare(p0.Low95, target),
		},
	}
	if n.Bound = NoSunSeen(p0); n.Bound {
		n.Thinning.Value = ThinningShare(math.Max(p0.High95, shareFloor), target)
		n.Thinning.Low95 = n.Thinning.Value
	}
	return n
}

// WithSite returns the share of the sky to clear where the site factor is known:
// w/site, at most 1. Site's interval goes in as a relative error, normal theory.
func (n LightNeed) WithSite(site Estimate) Estimate {
	at := func(w, q float64) float64 {
		if q <= 0 {
			return 1
		}
		return math.Min(w/q, 1)
	}
	return Estimate{
		Value: at(n.Window.Value, site.Value),
		Low95: at(n.Window.Low95, site.High95), High95: at(n.Window.High95, site.Low95),
	}
}

// YearLimits are the least and the most share of the canopy to take in a year.
type YearLimits struct{ Low, High float64 }

// Cut returns this year's share of a need: within the limits, 0 for no need. A cut
// that is due is not made smaller than Low: less grows back at once.
func (l YearLimits) Cut(need float64) float64 {
	if !(need > 0) {
		return 0
	}
	return math.Min(math.Max(need, l.Low), l.High)
}
