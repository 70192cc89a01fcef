package compare

import (
	"time"

	"rowlight/internal/orchard"
)

// firstTaken is when a visit's first photo was taken; nil where no photo says.
func firstTaken(v *orchard.VisitResult) *time.Time {
	var first *time.Time
	for i := range v.Photos {
		if t := v.Photos[i].TakenAt; t != nil && v.Photos[i].Status == orchard.Measured && (first == nil || t.Before(*first)) {
			first = t
		}
	}
	return first
}
