package pipeline

import (
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

func widthBy(method string, v, half float64) orchard.Measurement {
	low, high := v-half, v+half
	return orchard.Measurement{Quantity: orchard.ClearWidthM, Unit: "m", Value: &v, Low95: &low, High95: &high, Method: method}
}

func TestPreferredTakesTheBetterWay(t *testing.T) {
	photo, far := widthBy("photo", 2.4, 0.6), widthBy("photo", 3.5, 0.6)
	pair, wide := widthBy(PairMethod, 2.5, 0.2), widthBy(PairMethod, 2.5, 0.8)
	boards := widthBy(twoBoardsMethod, 2.1, 0.1)
	none := orchard.Measurement{Quantity: orchard.ClearWidthM, Unit: "m", Absent: "no wall"}
	for name, c := range map[string]struct {
		single, pairs []orchard.Measurement
		method        string
		count         int
		flag          string
	}{
		"a pair before one photo":           {[]orchard.Measurement{photo, photo}, []orchard.Measurement{pair}, PairMethod, 1, ""},
		"two boards before a pair":          {[]orchard.Measurement{boards, photo}, []orchard.Measurement{pair}, twoBoardsMethod, 1, "the pair of photos says 2.5 m"},
		"a vague pair leaves the photo":     {[]orchard.Measurement{photo}, []orchard.Measurement{wide}, "photo", 1, ""},
		"a pair where no photo could say":   {[]orchard.Measurement{none}, []orchard.Measurement{pair}, PairMethod, 1, ""},
		"a photo that disagrees is told of": {[]orchard.Measurement{far}, []orchard.Measurement{pair}, PairMethod, 1, "one photo says 3.5 m"},
		"no pair":                           {[]orchard.Measurement{photo, far}, nil, "photo", 2, ""},
		"a pair's own quantity":             {nil, []orchard.Measurement{pair}, PairMethod, 1, ""},
	} {
		got := preferred(c.single, c.pairs)
		if len(got) != c.count || got[0].Method != c.method {
			t.Errorf("%s: %d numbers, first by %q", name, len(got), got[0].Method)
			continue
		}
		flags := strings.Join(got[0].Flags, "; ")
		if (c.flag == "") != (flags == "") || !strings.Contains(flags, c.flag) {
			t.Errorf("%s: flags %q, want %q", name, flags, c.flag)
		}
	}
	if len(boards.Flags)+len(pair.Flags) > 0 {
		t.Error("the caller's numbers were changed")
	}
}

// Where a pair and one photo do not meet, the pair's interval holds both.
func TestPreferredHoldsBothWhereTheyDisagree(t *testing.T) {
	got := preferred([]orchard.Measurement{widthBy("photo", 3.5, 0.6)}, []orchard.Measurement{widthBy(PairMethod, 2.5, 0.2)})[0]
	if *got.Value != 2.5 || *got.Low95 != 2.3 || *got.High95 != 4.1 {
		t.Errorf("%.2f m (%.2f to %.2f), want 2.50 m (2.30 to 4.10)", *got.Value, *got.Low95, *got.High95)
	}
	pair := widthBy(PairMethod, 2.5, 0.2)
	if got := preferred([]orchard.Measurement{widthBy("photo", 2.4, 0.6)}, []orchard.Measurement{pair})[0]; *got.High95 != *pair.High95 {
		t.Error("an interval that meets the photo's was widened")
	}
}

func TestPairGroups(t *testing.T) {
	at := time.Date(2026, 8, 14, 10, 0, 0, 0, time.UTC)
	tree := &orchard.TreeID{Block: "b1", Row: 1, Tree: 1}
	photo := func(path string, minutes int, change func(*orchard.Record)) orchard.Record {
		when := at.Add(time.Duration(minutes) * time.Minute)
		r := orchard.Record{Path: path, Tree: tree, Kind: orchard.Alley, Camera: "c", TakenAt: &when, Boards: []int{4}, Status: orchard.Measured}
		if change != nil {
			change(&r)
		}
		return r
	}
	records := []orchard.Record{
		photo("late", 40, nil), photo("first", 0, nil), photo("second", 1, nil),
		photo("floor", 1, func(r *orchard.Record) { r.Kind = orchard.Floor }),
		photo("other camera", 1, func(r *orchard.Record) { r.Camera = "d" }),
		photo("failed", 1, func(r *orchard.Record) { r.Status = orchard.Failed }),
		photo("other side", 1, func(r *orchard.Record) { r.AlleySide = "left" }),
		photo("no tree", 1, func(r *orchard.Record) { r.Tree = nil }),
		photo("twin", 1, func(r *orchard.Record) { r.Flags = []string{twinFlag + "first"} }),
	}
	groups := pairGroups(records)
	if len(groups) != 1 || len(groups[0]) != 3 {
		t.Fatalf("groups %v", groups)
	}
	g := groups[0]
	if g[0].Path != "first" || g[1].Path != "second" || g[2].Path != "late" {
		t.Errorf("order %s, %s, %s", g[0].Path, g[1].Path, g[2].Path)
	}
	if !mayPair(g[0], g[1]) || mayPair(g[1], g[2]) {
		t.Error("photos a minute apart are a pair, 39 minutes apart none")
	}
	g[1].Boards = []int{5}
	if mayPair(g[0], g[1]) {
		t.Error("photos of two boards are no pair")
	}
}

func TestUndecidedNamesTheNextWay(t *testing.T) {
	targets := orchard.Targets{ClearAlleyM: 2.5}
	for _, c := range []struct {
		m    orchard.Measurement
		want string
	}{
		{widthBy("photo", 2.6, 0.3), "take a second photo a step"},
		{widthBy(PairMethod, 2.4, 0.2), "stand two more boards"},
		{widthBy(twoBoardsMethod, 2.52, 0.05), "measure by tape"},
		{widthBy("tape", 2.5, 0.05), ""},
		{widthBy("photo", 3.5, 0.3), ""}, // surely over
	} {
		ms := []orchard.Measurement{c.m}
		undecided(ms, targets)
		if got := strings.Join(ms[0].Flags, "; "); (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s %.2f m: %q, want %q", c.m.Method, *c.m.Value, got, c.want)
		}
	}
}
