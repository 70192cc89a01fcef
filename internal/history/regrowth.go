package history

import (
	"fmt"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// learn takes regrowth from the trees' own readings with no cut between, else the
// orchard file's range.
func (h *History) learn(o *orchard.Orchard) metrics.Growth {
	var pairs []metrics.RegrowthPair
	for _, l := range h.Trees {
		pairs = append(pairs, regrowthPairs(l.Points)...)
	}
	if g, ok := metrics.LearnRegrowth(pairs); ok && g.High95 > 0 {
		h.Regrowth = Regrowth{g.Low95, g.High95, true, fmt.Sprintf("%d pairs of readings of your own trees, half a year or more apart with no cut between", len(pairs))}
		return metrics.Growth{Learned: &g}
	}
	h.Regrowth = Regrowth{o.Plan.RegrowthLow, o.Plan.RegrowthHigh, false, "the range in " + orchard.FileName + ", as too few trees were read twice without a cut between (three at least, half a year apart)"}
	return metrics.Growth{Low: o.Plan.RegrowthLow, High: o.Plan.RegrowthHigh}
}

// regrowthPairs pairs each reading with the last one before the next cut.
func regrowthPairs(points []Point) []metrics.RegrowthPair {
	var out []metrics.RegrowthPair
	for i := 0; i < len(points); {
		last := i
		for last+1 < len(points) && !points[last+1].Cut {
			last++
		}
		a, b := firstLit(points[i:last+1]), lastLit(points[i:last+1])
		if a != nil && b != nil && a != b && !a.day.IsZero() && !b.day.IsZero() {
			if years := b.day.Sub(a.day).Hours() / 24 / daysPerYear; years >= leastYears {
				out = append(out, metrics.RegrowthPair{AfterCut: a.Sunlit.Value, NextBefore: b.Sunlit.Value, Years: years})
			}
		}
		i = last + 1
	}
	return out
}

func firstLit(ps []Point) *Point {
	for i := range ps {
		if ps[i].Sunlit != nil {
			return &ps[i]
		}
	}
	return nil
}

func lastLit(ps []Point) *Point {
	for i := len(ps) - 1; i >= 0; i-- {
		if ps[i].Sunlit != nil {
			return &ps[i]
		}
	}
	return nil
}
