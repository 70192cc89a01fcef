package pipeline

import (
	"fmt"
	"time"

	"rowlight/internal/orchard"
)

// SunUnknown stands in the flag of every photo whose sun could not be placed.
const SunUnknown = "the sun's height is not known"

// visitSlackDays: a visit is a walk of days, at most weeks. The sun's declination
// moves by up to 0.4 degrees a day, so a month off is 12 degrees of its height.
const visitSlackDays = 31

// clockDoubt compares a photo's capture time with the day that its visit's folder
// names; "" where they agree, or where either says nothing.
func clockDoubt(rec *orchard.Record) string {
	const dayForm = time.DateOnly
	if rec.TakenAt == nil || len(rec.Visit) < len(dayForm) || rec.TakenAt.Year() < earliestYear {
		return "" // an older clock was never set, which sunAt says
	}
	day, err := time.Parse(dayForm, rec.Visit[:len(dayForm)])
	if err != nil {
		return ""
	}
	off := rec.TakenAt.Sub(day).Abs()
	if off <= visitSlackDays*24*time.Hour {
		return ""
	}
	return fmt.Sprintf("by its clock taken on %s, but its folder is %s: set the camera's clock, or lay the photo into the folder of its own day",
		rec.TakenAt.Format(dayForm), rec.Visit)
}
