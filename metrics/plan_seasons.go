package metrics

import (
	"fmt"
	"math"
	"sort"
)

// MostSeasons is how far ahead a thinning programme is followed: past a dozen years
// it is no plan.
const MostSeasons = 12

// Season is one year of even thinning: the floor before the cut, the share of leaf
// taken, the floor after it.
type Season struct{ Before, Cut, After float64 }

// ThinningPath follows even thinning from p0 to target, at most cap a year, the leaf
// growing back by the share g after each: L = -ln P; L(1-cut), then L(1+g). It ends at
// the target, or after MostSeasons with reached false.
func ThinningPath(p0, target, limit, g float64) (path []Season, reached bool) {
	p := math.Max(p0, shareFloor/2) // a floor without sun still has some: half of what could be seen
	for range MostSeasons {
		cut := math.Min(limit, ThinningShare(p, target))
		s := Season{p, cut, AfterThinning(p, cut)}
		path = append(path, s)
		if s.After >= target*(1-roundOff) {
			return path, true
		}
		p = math.Pow(s.After, 1+g)
	}
	return path, false
}

// roundOff lets a season that ends on the target count as there.
const roundOff = 1e-9

// ThinningNeverGains says whether regrowth g gives back all that a year's most, limit,
// takes: (1-limit)(1+g) >= 1, that is g >= limit/(1-limit).
func ThinningNeverGains(limit, g float64) bool { return g >= limit/(1-limit) }

// MaintenanceShare is the yearly cut that holds a floor at its target against
// regrowth g: g/(1+g).
func MaintenanceShare(g float64) float64 { return g / (1 + g) }

// Seasons is how many years of thinning it takes.
type Seasons struct {
	N     int
	Over  bool // more than MostSeasons; N is MostSeasons
	Never bool // regrowth gives back all that may be taken; N is 0
}

// Words says the number: "4", "over 12", "never".
func (s Seasons) Words() string {
	switch {
	case s.Never:
		return "never"
	case s.Over:
		return fmt.Sprintf("over %d", s.N)
	}
	return fmt.Sprint(s.N)
}

// order makes seasons comparable: never after over after any number.
func (s Seasons) order() int {
	switch {
	case s.Never:
		return MostSeasons + 2
	case s.Over:
		return MostSeasons + 1
	}
	return s.N
}

// SeasonsNeeded counts the years of ThinningPath; 0 where the target is met.
func SeasonsNeeded(p0, target, limit, g float64) Seasons {
	if p0 >= target {
		return Seasons{}
	}
	path, reached := ThinningPath(p0, target, limit, g)
	switch {
	case reached:
		return Seasons{N: len(path)}
	case ThinningNeverGains(limit, g):
		return Seasons{Never: true}
	}
	return Seasons{N: MostSeasons, Over: true}
}

// Range is a quantity known only as a range, every value in it as likely.
type Range struct{ Low, High float64 }

// Outlook is what is to be expected of even thinning.
type Outlook struct {
	Low95, Median, High95 Seasons
	// NeverChance is the share of what may be true in which it never gets there.
	NeverChance float64
}

// ThinningOutlook draws the floor within its error (normal on the logit) and regrowth
// within its range, and counts the seasons of each draw. The same name and seed give the
// same outlook.
func ThinningOutlook(p0 Estimate, target, limit float64, g Range, seed uint64, name string) Outlook {
	sc := logitScale()
	looks := sc.looks([]Estimate{p0})
	if len(looks) == 0 {
		return Outlook{}
	}
	r := stream(seed, "outlook "+name)
	all := make([]Seasons, defaultDraws)
	never := 0
	for i := range all {
		p := sc.from(looks[0].y + looks[0].sd*r.NormFloat64())
		all[i] = SeasonsNeeded(p, target, limit, g.Low+(g.High-g.Low)*r.Float64())
		if all[i].Never {
			never++
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].order() < all[j].order() })
	at := func(q float64) Seasons { return all[int(q*float64(len(all)-1))] }
	return Outlook{at(0.025), at(0.5), at(0.975), float64(never) / float64(len(all))}
}
