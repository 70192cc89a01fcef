package pipeline

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// A width between half and half as much again is told, a wider one is words with what to
// do; one cut off by the picture is a bound and stays.
func TestWidthThatNothingTellsIsNoNumber(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		flags     []string
		told      bool
	}{
		{1.1, 2.9, nil, true},
		{0.9, 3.1, nil, false},
		{1.9, 4.5, []string{"at least 1.9 m: cut off by the picture"}, true},
	} {
		m := interval(orchard.CrownWidthM, "m", 2, c.low, c.high)
		m.Flags = c.flags
		got := toldWidth(m)
		if (got.Value != nil) != c.told {
			t.Errorf("%.1f to %.1f m: %+v", c.low, c.high, got)
		}
		if !c.told && !strings.Contains(got.Absent, "second photo") {
			t.Errorf("no mend in %q", got.Absent)
		}
	}
}
