package calibrate

import (
	"time"
)

const (
	degreesPerHour = 15.0
	// noonRounds: the hour angle runs at 15 degrees an hour to 1 part in 3000,
	// so each round cuts the error 3000 times.
	noonRounds = 3
	halfDay    = 12 * time.Hour
	// crossingTolerance is finer than any clock a photo is stamped with.
	crossingTolerance = time.Second
)

// SolarNoon returns when the sun crosses the meridian on the calendar day that
// day has in its own time zone: the middle of the best hours for floor photos.
// The latitude moves it by nothing that counts, but a place has both.
func SolarNoon(day time.Time, latDeg, lonDeg float64) time.Time {
	y, m, d := day.Date()
	t := time.Date(y, m, d, 12, 0, 0, 0, day.Location())
	for range noonRounds {
		h := SunPosition(t, latDeg, lonDeg, SunOptions{}).HourAngleDeg
		t = t.Add(-time.Duration(h / degreesPerHour * float64(time.Hour)))
	}
	return t
}

// TimesAboveElevation returns from when to when the sun stands at least elevDeg
// above the horizon (refraction included) on the day, in the day's time zone;
// ok is false where it never does. Where the sun does not go that low all day
// the times are 12 hours to either side of solar noon.
func TimesAboveElevation(day time.Time, latDeg, lonDeg, elevDeg float64) (from, to time.Time, ok bool) {
	noon := SolarNoon(day, latDeg, lonDeg)
	above := func(t time.Time) bool {
		return SunPosition(t, latDeg, lonDeg, SunOptions{}).ElevationDeg >= elevDeg
	}
	if !above(noon) {
		return time.Time{}, time.Time{}, false
	}
	return crossing(noon, noon.Add(-halfDay), above), crossing(noon, noon.Add(halfDay), above), true
}

// crossing halves the span from a time that is above to one that may not be.
func crossing(inside, outside time.Time, above func(time.Time) bool) time.Time {
	if above(outside) {
		return outside
	}
	for {
		span := outside.Sub(inside)
		if span.Abs() <= crossingTolerance {
			return inside
		}
		if mid := inside.Add(span / 2); above(mid) {
			inside = mid
		} else {
			outside = mid
		}
	}
}
