package plan

import (
	"fmt"
	"slices"
	"time"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

const (
	// leastRegrowthDays between two visits: less is a flush of shoots, no year's growth
	// (ours).
	leastRegrowthDays = 180
	daysPerYear       = 365.25
)

// learn takes regrowth and the site factor from the orchard's own trees where there
// are enough of them, else regrowth from the orchard file.
func (b *builder) learn() (Regrowth, *Site) {
	g := b.in.Orchard.Plan
	out := Regrowth{g.RegrowthLow, g.RegrowthHigh, "the range in " + orchard.FileName + " (default 0.18 to 0.25)"}
	pairs := b.regrowthPairs()
	if learned, ok := metrics.LearnRegrowth(pairs); ok && learned.High95 > 0 {
		out = Regrowth{max(learned.Low95, 0), learned.High95, fmt.Sprintf("%d of your own trees, photographed after their cut and before the next", len(pairs))}
	}
	b.regrowth = metrics.Range{Low: out.Low, High: out.High}
	q, ok := metrics.LearnSite(b.in.SitePairs)
	if !ok || q.Value <= 0 {
		return out, nil
	}
	b.site = &q
	return out, &Site{shareOf(q), fmt.Sprintf("%d of your own trees, before and after their cut", len(b.in.SitePairs))}
}

// regrowthPairs are trees seen just after a cut, and again before the next: marked
// just_pruned at the first visit, not cut again since.
func (b *builder) regrowthPairs() []metrics.RegrowthPair {
	visits := b.visitsByDay()
	var pairs []metrics.RegrowthPair
	for _, id := range b.in.Orchard.Trees() {
		for i, first := range visits {
			if p, ok := b.regrown(id, first, visits[i+1:]); ok {
				pairs = append(pairs, p)
			}
		}
	}
	return pairs
}

func (b *builder) visitsByDay() []*orchard.VisitResult {
	var visits []*orchard.VisitResult
	for _, v := range append(slices.Clone(b.in.History), b.in.Visit) {
		if !orchard.VisitDay(v.Visit).IsZero() {
			visits = append(visits, v)
		}
	}
	slices.SortStableFunc(visits, func(a, c *orchard.VisitResult) int {
		return orchard.VisitDay(a.Visit).Compare(orchard.VisitDay(c.Visit))
	})
	return visits
}

// regrown pairs a tree's light just after a cut with its light at the last visit before
// the next cut.
func (b *builder) regrown(id orchard.TreeID, first *orchard.VisitResult, later []*orchard.VisitResult) (metrics.RegrowthPair, bool) {
	from := orchard.VisitDay(first.Visit)
	if !b.justPruned(id, from) {
		return metrics.RegrowthPair{}, false
	}
	after, ok := lightOf(first, id)
	if !ok {
		return metrics.RegrowthPair{}, false
	}
	var pair metrics.RegrowthPair
	for _, v := range later {
		day := orchard.VisitDay(v.Visit)
		before, ok := lightOf(v, id)
		if !ok || day.Sub(from).Hours() < 24*leastRegrowthDays {
			continue
		}
		if b.cutBetween(id, from, day) {
			break
		}
		pair = metrics.RegrowthPair{AfterCut: after, NextBefore: before, Years: day.Sub(from).Hours() / 24 / daysPerYear}
	}
	return pair, pair.Years > 0
}

func (b *builder) justPruned(id orchard.TreeID, day time.Time) bool {
	return slices.ContainsFunc(b.in.Marks.Of(id, day), func(m orchard.Mark) bool { return m.Kind == orchard.JustPruned })
}

// cutBetween says whether a cut is marked after one day and up to another.
func (b *builder) cutBetween(id orchard.TreeID, from, to time.Time) bool {
	return slices.ContainsFunc(b.in.Marks.Of(id, time.Time{}), func(m orchard.Mark) bool {
		return m.Kind == orchard.JustPruned && m.Since != nil && m.Since.After(from) && !m.Since.After(to)
	})
}

// lightOf is a tree's sunlit share at a visit, normalised to one height of the sun.
func lightOf(v *orchard.VisitResult, id orchard.TreeID) (float64, bool) {
	for i := range v.Trees {
		if v.Trees[i].ID != id {
			continue
		}
		if e := estimate(v.Trees[i].Find(orchard.SunlitFractionRef)); e != nil {
			return e.Value, true
		}
	}
	return 0, false
}
