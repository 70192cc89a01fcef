package pipeline

import (
	"fmt"
	"time"

	"rowlight/internal/crew"
	"rowlight/internal/orchard"
)

const (
	// DefaultPhotoLimit is how long one photo or pair may take where nothing is said:
	// some ten times what the largest photo (100 megapixels) or a pair takes on a machine
	// that four others use too.
	DefaultPhotoLimit = 5 * time.Minute

	faultMend = "send us the photo; the other photos are not touched"
)

// giveUp makes a failed record of a photo that brought its worker down. It is kept like
// any other, so that the next run does not fall over it again.
func giveUp(rec *orchard.Record, lost *crew.Lost, limit time.Duration) {
	rec.Status, rec.GaveUp = orchard.Failed, true
	switch lost.How {
	case crew.TimedOut:
		rec.Reason = fmt.Sprintf("measuring it was not done after %v and was stopped", limit)
		rec.Mend = "leave it out or take it again; --retry with a longer --photo-limit tries it once more"
	case crew.NoMemory:
		rec.Reason = fmt.Sprintf("there was not enough memory to measure it (%s, twice)", lost.Cause)
		rec.Mend = "close other programs, and try it once more with --retry --workers 1"
	default:
		rec.Reason = fmt.Sprintf("measuring it crashed (%s, twice)", lost.Cause)
		rec.Mend = faultMend + "; --retry tries it once more"
	}
}
