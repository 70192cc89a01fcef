package pipeline

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
)

// undecided says of a number whose interval lies on both sides of its target how to
// know better: the next better way of measuring it. ms is changed in place; flags
// already there stay.
func undecided(ms []orchard.Measurement, targets orchard.Targets) {
	for i := range ms {
		m := &ms[i]
		if m.Value == nil || m.AtM != nil || m.Quantity != orchard.ClearWidthM {
			continue
		}
		if t := targets.ClearAlleyM; *m.Low95 < t && t < *m.High95 {
			if next := nextWay(m.Method); next != "" {
				m.Flags = append(slices.Clone(m.Flags), fmt.Sprintf("may be under or over the %.1f m wanted; to know better, %s", t, next))
			}
		}
	}
}

// nextWay is the next better way of measuring a clear width; "" for none.
func nextWay(method string) string {
	switch method {
	case "tape":
		return ""
	case twoBoardsMethod:
		return "measure by tape"
	case PairMethod:
		return "stand two more boards with their outer edges touching the foliage, or measure by tape"
	}
	return "take a second photo a step (0.4 to 0.7 m) to the side of the first"
}
