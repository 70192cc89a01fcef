package pipeline

import (
	"fmt"
	"time"

	"rowlight/calibrate"
	"rowlight/vision"
)

// nightElevationDeg: a daylight photo whose clock puts the sun this far below
// the horizon has a wrong clock, or a wrong place (civil twilight ends at -6).
const nightElevationDeg = -6

// earliestYear: no phone with this lens model took photos before; older stamps
// come from clocks that were never set.
const earliestYear = 2005

// sunAt places the sun by the photo's clock and place; nil with a flag where
// either is missing or cannot be right.
func sunAt(meta vision.Meta, env Env) (*Sun, []string) {
	place, ok := placeOf(meta, env)
	if !ok {
		return nil, []string{"no place in the photo nor in the orchard file: " + SunUnknown}
	}
	at, ok := timeOf(meta, env)
	if !ok {
		return nil, []string{"no capture time in the photo: " + SunUnknown + ": copy photos from the phone as they were taken; messengers strip it"}
	}
	if at.Year() < earliestYear {
		return nil, []string{fmt.Sprintf("the camera's clock says %s: set the clock; %s", at.Format(time.DateOnly), SunUnknown)}
	}
	pos := calibrate.SunPosition(at, place.LatDeg, place.LonDeg, calibrate.SunOptions{})
	if pos.ElevationDeg < nightElevationDeg {
		return nil, []string{fmt.Sprintf("by the photo's clock (%s) the sun was %.0f degrees below the horizon: set the camera's clock; %s",
			at.Format("2006-01-02 15:04 -07:00"), -pos.ElevationDeg, SunUnknown)}
	}
	return &Sun{ElevationDeg: pos.ElevationDeg, AzimuthDeg: pos.AzimuthDeg}, nil
}

func placeOf(meta vision.Meta, env Env) (Place, bool) {
	if meta.LatDeg != nil && meta.LonDeg != nil {
		return Place{*meta.LatDeg, *meta.LonDeg}, true
	}
	if env.Place != nil {
		return *env.Place, true
	}
	return Place{}, false
}

func timeOf(meta vision.Meta, env Env) (time.Time, bool) {
	switch {
	case meta.TakenAt == nil:
		return time.Time{}, false
	case meta.HasZone:
		return *meta.TakenAt, true
	case env.Zone == nil:
		return time.Time{}, false
	}
	t := *meta.TakenAt
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), env.Zone), true
}
