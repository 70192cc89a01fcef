package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// finish fills what the whole plan says.
func (b *builder) finish(p *Plan) {
	p.Rounds, p.Seasons, p.Cautions = b.rounds(), b.seasons(p), cautions()
	p.Notes = append([]string{}, append(p.Notes, b.notes(p)...)...)
	if p.Maintenance == nil {
		p.Maintenance = []Tree{}
	}
	if p.Apart == nil {
		p.Apart = []Apart{}
	}
	if p.Unmeasured == nil {
		p.Unmeasured = []orchard.TreeID{}
	}
}

// notes are sentences about the plan as a whole.
func (b *builder) notes(p *Plan) []string {
	var said []string
	all, measured := len(b.in.Orchard.Trees()), len(p.Trees)+len(p.Left)+len(p.Maintenance)
	if n := len(p.Unmeasured); n > 0 {
		s := fmt.Sprintf("%d of %d trees have no number at this visit and are not in the plan", n, all)
		if 2*n >= all {
			s += fmt.Sprintf(": it speaks for the other %d only, and the most urgent trees may be among those missing", measured)
		}
		said = append(said, s+".")
	}
	if b.in.Visit.Settings != b.in.Orchard.SettingsHash() {
		said = append(said, fmt.Sprintf("%s has changed since the visit was measured (place, boards or spacings): run rowlight assess again to plan from it.", orchard.FileName))
	}
	for _, m := range b.in.Orchard.MixUps(b.in.Visit) {
		said = append(said, m.Words(b.in.Visit.Visit)+" Until then their places in this plan may be each other's.")
	}
	if n := b.in.NewPhotos; n > 0 {
		said = append(said, fmt.Sprintf("Photos of the visit that are not in its results yet: %d. Run rowlight assess again to plan from them.", n))
	}
	for key := range b.sick {
		said = append(said, fmt.Sprintf("Block %s has root rot marked: it is worked last.", key))
	}
	slices.Sort(said[len(said)-len(b.sick):])
	if len(p.Trees) == 0 {
		said = append(said, "No tree is due for a main cut.")
	}
	if s := yearsAhead(append(slices.Clone(p.Trees), p.Left...)); s != "" {
		said = append(said, s)
	}
	return said
}

// yearsAhead says how long even thinning at a year's most would take, in a sentence;
// "" where no tree's light asks for it.
func yearsAhead(trees []Tree) string {
	spans := []struct {
		words string
		last  int
		n     int
	}{{"1 year", 1, 0}, {"2 to 3 years", 3, 0}, {"4 to 6 years", 6, 0}, {"7 years or more", metrics.MostSeasons, 0}}
	never := 0
	for _, t := range trees {
		l := t.Light
		if l == nil || l.Seasons == nil {
			continue
		}
		if l.never {
			never++
			continue
		}
		for i := range spans {
			if l.median.N <= spans[i].last {
				spans[i].n++
				break
			}
		}
	}
	var parts []string
	for _, s := range spans {
		if s.n > 0 {
			parts = append(parts, fmt.Sprintf("%s for %s", s.words, countTrees(s.n)))
		}
	}
	if never > 0 {
		parts = append(parts, "never for "+countTrees(never))
	}
	if len(parts) == 0 {
		return ""
	}
	return "By even thinning alone, a year's most each year, the floors reach their target in " + strings.Join(parts, ", ") + "."
}

func countTrees(n int) string {
	if n == 1 {
		return "1 tree"
	}
	return fmt.Sprintf("%d trees", n)
}

func hasWork(p *Plan, block string) bool {
	return slices.ContainsFunc(p.Trees, func(t Tree) bool { return t.ID.Block == block }) ||
		slices.ContainsFunc(p.Left, func(t Tree) bool { return t.ID.Block == block })
}

// seasonDay is the day from which the next season is looked for: the first day of
// work, else the visit's.
func (b *builder) seasonDay() time.Time {
	if !b.in.From.IsZero() {
		return b.in.From
	}
	return b.day
}

// rounds are the follow-up after the cut.
func (b *builder) rounds() []Round {
	out := []Round{}
	for i, days := range b.in.Orchard.Plan.FollowUpDays {
		r := Round{DaysAfter: days, Do: laterRound}
		if i == 0 {
			r.Do = firstRound
		}
		if !b.in.From.IsZero() {
			r.From = dayText(b.in.From.AddDate(0, 0, days))
		}
		out = append(out, r)
	}
	return out
}

// What a follow-up round does (common practice).
const (
	firstRound = "water shoots off the bared limbs; on each stub keep the two or three best placed shoots; cut stubs clean; what was missed; paint that has washed off"
	laterRound = "thin each stub's shoots to the one that becomes the new limb, and shape it; water shoots again; open windows that are closing"
)

// seasons says when each block with work is pruned, by the days the grower gave.
func (b *builder) seasons(p *Plan) []Season {
	out := []Season{}
	for i := range b.in.Orchard.Blocks {
		block := &b.in.Orchard.Blocks[i]
		if !hasWork(p, block.Key) {
			continue
		}
		s := Season{Block: block.Key}
		when := "after its harvest and before its flowering"
		if block.Habit == orchard.Open {
			when += ", and for the open habit not before autumn"
		}
		if season, ok := b.in.Orchard.PruneSeason(block, b.seasonDay()); ok {
			s.From, s.Until = dayText(season.From), dayText(season.Until)
			s.Say = fmt.Sprintf("%s to %s: %s", s.From, s.Until, when)
		} else {
			s.Say = when + "; give harvest_ends and flowering_begins in orchard.toml to have days here"
		}
		out = append(out, s)
	}
	return out
}
