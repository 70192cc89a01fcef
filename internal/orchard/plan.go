package orchard

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Plan is how the grower prunes: what `rowlight plan` cannot know by itself.
type Plan struct {
	OptionsOff   []string // ways of pruning the grower does not want, of PlanOptions
	LabourShort  bool     // too few skilled hands for work limb by limb
	FollowUpPaid bool     // the follow-up rounds are in the budget
	// A year's regrowth of leaf, as a share: used until photos have taught it.
	RegrowthLow, RegrowthHigh float64
	SkirtM                    float64 // foliage is kept this far off the ground; 0 asks for none
	// FollowUpDays after the cut, one a round.
	FollowUpDays []int
	// HoursPerTree are the grower's own, by option; none is claimed by default.
	HoursPerTree map[string]float64
}

// PlanOptions returns the keys of the ways of pruning, as orchard.toml names them.
func PlanOptions() []string {
	return []string{"limb_removal", "frame", "columns", "hedging", "heading_back", "rows_out", "maintenance"}
}

// DefaultPlan returns what holds where [plan] says nothing: regrowth of 18 to 25 % a
// year, which is what the trade's 15 to 20 % cuts balance (g/(1+g)); skirts at 0.5 m
// and follow-up one to three months on, and again late in summer, half a year on
// (both common practice).
func DefaultPlan() Plan {
	return Plan{RegrowthLow: 0.18, RegrowthHigh: 0.25, SkirtM: 0.5, FollowUpDays: []int{60, 180}}
}

// maxHoursPerTree is above any work on one tree: a crew of three for a day.
const maxHoursPerTree = 24

func readPlan(t *table) Plan {
	d := DefaultPlan()
	p := Plan{
		OptionsOff:   readOptionsOff(t),
		LabourShort:  t.flag("labour_short"),
		FollowUpPaid: t.flag("follow_up_paid"),
		RegrowthLow:  t.number("regrowth_low_fraction", d.RegrowthLow, share("0.18")),
		RegrowthHigh: t.number("regrowth_high_fraction", d.RegrowthHigh, share("0.25")),
		SkirtM:       t.number("skirt_m", d.SkirtM, span{0, 5, "metres from 0 (no skirt asked for) to 5, as 0.5"}),
		FollowUpDays: readFollowUp(t, d.FollowUpDays),
		HoursPerTree: readHours(t.sub("hours_per_tree")),
	}
	if p.RegrowthLow > p.RegrowthHigh {
		t.refuse("regrowth_low_fraction", fmt.Sprintf("regrowth_low_fraction %g is above regrowth_high_fraction %g", p.RegrowthLow, p.RegrowthHigh), "give the lower one first, as 0.18 and 0.25")
	}
	t.done()
	return p
}

func readOptionsOff(t *table) []string {
	mend := "a list of " + strings.Join(PlanOptions(), ", ")
	var list []any
	switch v := t.get("options_off").(type) {
	case nil:
		return nil
	case []any:
		list = v
	default:
		t.wrongType("options_off", v, mend)
		return nil
	}
	var off []string
	for _, e := range list {
		s, _ := e.(string)
		if !slices.Contains(PlanOptions(), s) {
			say := "give " + mend
			if near := nearest(s, PlanOptions()); near != "" {
				say = fmt.Sprintf("did you mean %s?", near)
			}
			t.refuse("options_off", "options_off has "+typeWords(e), say)
			continue
		}
		off = append(off, s)
	}
	return off
}

func readFollowUp(t *table, def []int) []int {
	const mend = "a list of days after the cut, rising, as [60, 180]"
	const mostDays = 730 // two years: past the next main prune
	var list []any
	switch v := t.get("follow_up_days").(type) {
	case nil:
		return def
	case []any:
		list = v
	default:
		t.wrongType("follow_up_days", v, mend)
		return def
	}
	days := t.wholes("follow_up_days", list, 1, mostDays, mend)
	for i := 1; i < len(days); i++ {
		if days[i] <= days[i-1] {
			t.refuse("follow_up_days", fmt.Sprintf("follow_up_days has %d after %d", days[i], days[i-1]), "give "+mend)
			return def
		}
	}
	return days
}

func readHours(t *table) map[string]float64 {
	hours := map[string]float64{}
	for _, key := range PlanOptions() {
		h := t.maybe(key, span{0.01, maxHoursPerTree, fmt.Sprintf("your own hours a tree, above 0 and at most %d, as 1.5", maxHoursPerTree)})
		if h != nil && *h > 0 {
			hours[key] = *h
		}
	}
	t.done()
	return hours
}

// Hours returns the grower's hours for an option; NaN where none are given.
func (p Plan) Hours(option string) float64 {
	if h, ok := p.HoursPerTree[option]; ok {
		return h
	}
	return math.NaN()
}
