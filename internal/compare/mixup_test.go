package compare

import (
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

// The floors of two trees under each other's names at the second visit, as the clock
// tells: neither floor is compared, both trees and the page say why; the third tree's
// stands.
func TestFloorsSwappedBetweenTreesAreFound(t *testing.T) {
	o, _ := load(t, "")
	before := visitOf("2026-08-01", lit(1, .05, 20), lit(2, .06, 20), lit(3, .05, 20))
	after := visitOf("2026-09-01", lit(1, .15, 20), lit(2, .06, 20), lit(3, .15, 20))
	at := time.Date(2026, 9, 1, 11, 0, 0, 0, time.UTC)
	floorOf := map[int]int{1: 2, 2: 1, 3: 3}
	for n := 1; n <= 3; n++ {
		for k, kind := range []orchard.Kind{orchard.Side, orchard.Floor, orchard.Alley} {
			tree, taken := id(n), at.Add(time.Duration(200*n+40*k)*time.Second)
			if kind == orchard.Floor {
				tree = id(floorOf[n])
			}
			after.Photos = append(after.Photos, orchard.Record{Path: tree.String() + "-" + string(kind) + ".jpg", Tree: &tree, Kind: kind, TakenAt: &taken, Status: orchard.Refused})
		}
	}
	res := mustRun(t, o, before, after, nil)
	says := "The floor photos of " + id(1).Words() + " and " + id(2).Words() + " at 2026-09-01 look swapped"
	for i, want := range []bool{false, false, true} {
		tr := &res.Trees[i]
		why := strings.Join(tr.Why, "; ")
		if got := tr.find(orchard.SunlitFractionRef) != nil; got != want || strings.Contains(why, "look swapped") == want {
			t.Errorf("%v: floor compared %v, want %v; why %q", tr.ID, got, want, why)
		}
	}
	if notes := strings.Join(res.Notes, "\n"); !strings.Contains(notes, says) {
		t.Errorf("notes %q, want %q", notes, says)
	}
	// Placed as they were taken, all three stand.
	for i := range after.Photos {
		if p := &after.Photos[i]; p.Kind == orchard.Floor && *p.Tree != id(3) {
			other := id(3 - p.Tree.Tree)
			p.Tree = &other
		}
	}
	for _, tr := range mustRun(t, o, before, after, nil).Trees {
		if tr.find(orchard.SunlitFractionRef) == nil {
			t.Errorf("%v: its floor is not compared: %v", tr.ID, tr.Why)
		}
	}
}
