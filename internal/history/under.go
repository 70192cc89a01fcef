package history

import (
	"fmt"
	"math"

	"rowlight/metrics"
)

// under says when a line's light falls under the target, from its last reading.
func (h *History) under(l *Line, g metrics.Growth) *Under {
	p := lastLit(l.Points)
	if p == nil || p.day.IsZero() {
		return nil
	}
	s := p.Sunlit
	u := metrics.FallsUnder(metrics.Estimate{Value: s.Value, Low95: s.Low95, High95: s.High95}, h.Target, g, seed)
	day := func(years float64) string {
		return p.day.AddDate(0, 0, int(math.Round(years*daysPerYear))).Format(dayForm)
	}
	switch {
	case u.Now > 0.975:
		return &Under{Say: fmt.Sprintf("under the target of %.0f %% since %s or before", 100*h.Target, p.Visit)}
	case math.IsNaN(u.Years):
		return &Under{Say: "not under the target in sight: the canopy does not thicken"}
	case u.Now > 0.5:
		return &Under{Say: fmt.Sprintf("probably under the target at %s already; with luck not before %s", p.Visit, farDay(u.High95, day)), To: day(math.Min(u.High95, farYears))}
	case math.IsInf(u.High95, 1) || u.High95 > farYears:
		return &Under{Say: fmt.Sprintf("under the target again from about %s (%s at the earliest, no latest day can be given)", day(math.Min(u.Years, farYears)), day(u.Low95)), From: day(u.Low95)}
	}
	return &Under{Say: fmt.Sprintf("under the target again about %s (95 %%: %s to %s)", day(u.Years), day(u.Low95), day(u.High95)), From: day(u.Low95), To: day(u.High95)}
}

// farYears: further ahead than a budget looks no day is named (12 seasons, as the
// plan's).
const farYears = metrics.MostSeasons

func farDay(years float64, day func(float64) string) string {
	if years > farYears {
		return "years from now"
	}
	return day(years)
}
