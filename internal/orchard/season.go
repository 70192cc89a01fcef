package orchard

import (
	"fmt"
	"time"
)

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
