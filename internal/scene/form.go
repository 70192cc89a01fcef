package scene

import "math"

// Form is the outline of a crown.
type Form int

// The forms.
const (
	Round    Form = iota // egg-shaped
	Hedge                // upright walls, flat top
	Shoulder             // widest three quarters up, hangs over
	Cone                 // widest low, tapers up: what pruning aims at
	Column               // slim, nearly as wide all the way
	FlatTop              // egg-shaped below, cut level above
	Vase                 // widest at the top, for open centres
)

// profile returns the crown's half width, as a share of its widest, at a share
// t in [0, 1] of the way from its base to its top.
func (f Form) profile(t float64) float64 {
	if t < 0 || t > 1 {
		return 0
	}
	s := 2*t - 1
	switch f {
	case Hedge:
		return math.Pow(1-s*s*s*s*s*s, 0.25)
	case Shoulder:
		const widest = 0.72
		if t < widest {
			return 0.45 + 0.55*smooth(t/widest)
		}
		u := (t - widest) / (1 - widest)
		return math.Sqrt(1 - 0.85*u*u)
	case Cone:
		return math.Min(1, 0.75+2.5*t) * math.Sqrt(1-0.88*t*t)
	}
	return f.more(t)
}

// more is the profile of the rarer forms.
func (f Form) more(t float64) float64 {
	s := 2*t - 1
	switch f {
	case Column:
		return math.Pow(1-s*s*s*s, 0.35)
	case FlatTop:
		u := 0.72 * t // an egg cut at 72 % of its height
		return math.Pow(1-(2*u-1)*(2*u-1), 0.45)
	case Vase:
		return (0.40 + 0.60*math.Pow(t, 0.8)) * math.Pow(1-math.Pow(t, 8), 0.5)
	}
	return math.Pow(1-s*s, 0.45)
}

// String is the form's name in truth files.
func (f Form) String() string {
	return [...]string{"round", "hedge", "shoulder", "cone", "column", "flat_top", "vase"}[f]
}
