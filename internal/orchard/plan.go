package orchard

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
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

// YearDay is a day of any year.
type YearDay struct {
	Month time.Month
	Day   int
}

// In returns the day in a year, midnight UTC.
func (d YearDay) In(year int) time.Time { return time.Date(year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

// readYearDay reads a day of any year, "07-31"; nil where it is not given.
func readYearDay(t *table, key string) *YearDay {
	text := t.text(key, "")
	if text == "" {
		return nil
	}
	const leapYear = "2000-" // so that 29 February is a day
	day, err := time.Parse(dayForm, leapYear+text)
	if err != nil {
		t.refuse(key, fmt.Sprintf("%s is %q", key, text), `give month and day, as "07-31"`)
		return nil
	}
	return &YearDay{day.Month(), day.Day()}
}

// AutumnBegins returns autumn's first day by the calendar of meteorologists: 1 March
// south of the equator, 1 September north of it.
func (p Place) AutumnBegins() YearDay {
	if p.LatDeg < 0 {
		return YearDay{time.March, 1}
	}
	return YearDay{time.September, 1}
}

// PruneSeason is when a block is pruned: after its harvest and before its flowering.
// A zero time is an end that the orchard file does not tell.
type PruneSeason struct{ From, Until time.Time }

// PruneSeason returns the next season of a block that is not over on a day: from the
// day after harvest_ends to the day before flowering_begins, for the open habit not
// before autumn begins. Without both days in orchard.toml ok is false; so it is where
// day is zero.
func (o *Orchard) PruneSeason(b *Block, day time.Time) (s PruneSeason, ok bool) {
	if b.HarvestEnds == nil || b.FloweringBegins == nil || day.IsZero() {
		return PruneSeason{}, false
	}
	for year := day.Year() - 1; year <= day.Year()+1; year++ {
		s.From = b.HarvestEnds.In(year).AddDate(0, 0, 1)
		s.Until = after(*b.FloweringBegins, s.From).AddDate(0, 0, -1)
		if b.Habit == Open {
			if autumn := after(o.Place.AutumnBegins(), s.From.AddDate(0, 0, -autumnHeldDays)); autumn.After(s.From) && autumn.Before(s.Until) {
				s.From = autumn
			}
		}
		if !s.Until.Before(day) {
			return s, true
		}
	}
	return PruneSeason{}, false
}

// autumnHeldDays: a harvest that ends within this after autumn's first day is in
// autumn already and waits for nothing.
const autumnHeldDays = 91

// after returns the first such day after a time.
func after(d YearDay, t time.Time) time.Time {
	if at := d.In(t.Year()); at.After(t) {
		return at
	}
	return d.In(t.Year() + 1)
}

// Hours returns the grower's hours for an option; NaN where none are given.
func (p Plan) Hours(option string) float64 {
	if h, ok := p.HoursPerTree[option]; ok {
		return h
	}
	return math.NaN()
}
