package pipeline

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// alleyRecord is an alley photo of a clear width, its interval half wide to either
// side, with one entry of a profile.
func alleyRecord(name, side string, width, half float64) *orchard.Record {
	low, high, at := width-half, width+half, 6.0
	return &orchard.Record{
		Path: name, SHA256: name, Kind: orchard.Alley, AlleySide: side, Status: orchard.Measured,
		Measurements: []orchard.Measurement{
			{Quantity: orchard.ClearWidthM, Unit: "m", Value: &width, Low95: &low, High95: &high, Photos: []string{name}},
			{Quantity: orchard.ClearWidthAtM, Unit: "m", Value: &width, Low95: &low, High95: &high, AtM: &at, Photos: []string{name}},
		},
	}
}

func TestTheNarrowerOfTwoAlleysCounts(t *testing.T) {
	for _, tc := range []struct {
		name   string
		photos []*orchard.Record
		width  float64 // of the tree, by hand
		looks  int     // photos that count
		flag   string
	}{
		{"one alley twice: the mean", []*orchard.Record{alleyRecord("a", "", 2.0, 0.5), alleyRecord("b", "", 2.2, 0.5)}, 2.1, 2, ""},
		{"one side twice: the mean, however far apart", []*orchard.Record{alleyRecord("a", "left", 2.0, 0.5), alleyRecord("b", "left", 4.0, 0.5)}, 3.0, 2, ""},
		{"two sides that agree: the narrower", []*orchard.Record{alleyRecord("a", "left", 2.4, 0.5), alleyRecord("b", "right", 2.2, 0.5)}, 2.2, 1, "left 2.4 m, right 2.2 m"},
		{"a side twice against one", []*orchard.Record{alleyRecord("a", "left", 3.0, 0.5), alleyRecord("b", "left", 3.2, 0.5), alleyRecord("c", "right", 3.3, 0.5)}, 3.1, 2, "left 3.1 m, right 3.3 m"},
		{"no side, nothing in common: the narrower", []*orchard.Record{alleyRecord("a", "", 4.0, 0.5), alleyRecord("b", "", 1.8, 0.5)}, 1.8, 1, "1.8 to 4.0 m"},
		{"no side against a side", []*orchard.Record{alleyRecord("a", "", 1.5, 0.5), alleyRecord("b", "right", 2.0, 0.5)}, 1.5, 1, "no side said 1.5 m"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := &runner{opt: RunOptions{Orchard: &orchard.Orchard{}}}
			tree, l := r.tree(orchard.TreeID{Block: "b1", Row: 1, Tree: 1}, tc.photos, nil)
			m := tree.Find(orchard.ClearWidthM)
			if m == nil || m.Value == nil || *m.Value < tc.width-0.01 || *m.Value > tc.width+0.01 {
				t.Fatalf("clear width %+v, want %.1f m", m, tc.width)
			}
			if got := len(l[orchard.ClearWidthM]); got != tc.looks {
				t.Errorf("%d photos count in the score, want %d", got, tc.looks)
			}
			if got := strings.Join(tree.Flags, "; "); !strings.Contains(got, tc.flag) || tc.flag == "" && got != "" {
				t.Errorf("flags %q, want %q", got, tc.flag)
			}
			profile := 0
			for _, m := range tree.Measurements {
				if m.Quantity == orchard.ClearWidthAtM {
					profile++
				}
			}
			if profile != 1 {
				t.Errorf("%d profiles, want the one of the first photo that counts", profile)
			}
		})
	}
}
