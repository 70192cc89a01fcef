package pipeline

import (
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

func TestClockDoubt(t *testing.T) {
	at := func(y int, m time.Month, d int) *time.Time {
		u := time.Date(y, m, d, 12, 0, 0, 0, time.FixedZone("", 10*3600))
		return &u
	}
	for _, tc := range []struct {
		visit string
		at    *time.Time
		doubt bool
	}{
		{"2026-08-14", at(2026, 8, 14), false},
		{"2026-08-14", at(2026, 8, 28), false},
		{"2026-08-14", at(2026, 10, 1), true},
		{"2026-08-14", at(2025, 8, 14), true},
		{"2026-08-14 second walk", at(2025, 8, 14), true},
		{"2026-08-14", at(1980, 1, 1), false}, // sunAt says it
		{"before harvest", at(2025, 8, 14), false},
		{"2026-08-14", nil, false},
	} {
		got := clockDoubt(&orchard.Record{Visit: tc.visit, TakenAt: tc.at})
		if (got != "") != tc.doubt || tc.doubt && !(strings.Contains(got, tc.visit) && strings.Contains(got, tc.at.Format(time.DateOnly))) {
			t.Errorf("visit %q, taken %v: %q, doubt wanted: %v", tc.visit, tc.at, got, tc.doubt)
		}
	}
}
