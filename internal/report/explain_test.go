package report

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// Parts of 0.3 and 0.4 m: 95 % intervals of 0.59 and 0.78 m, a variance of 0.25 of
// which they are 36 and 64 %; the larger first.
func TestExplainSplitsTheInterval(t *testing.T) {
	v, lo, hi := 4.0, 3.0, 5.0
	id := orchard.TreeID{Block: "b1", Row: 3, Tree: 11}
	res := &orchard.VisitResult{Visit: "2026-08-14", Trees: []orchard.TreeResult{{ID: id, Measurements: []orchard.Measurement{
		{Quantity: orchard.DensityFraction, Unit: "1", Absent: "no open sky"},
		{Quantity: orchard.HeightM, Unit: "m", Value: &v, Low95: &lo, High95: &hi, Method: "photo", Photos: []string{"photos/a.jpg"},
			Parts: []orchard.ErrorPart{{Name: "focal length", SD: 0.3}, {Name: "depth", SD: 0.4}}},
	}}}, Photos: []orchard.Record{{Path: "photos/a.jpg", Tree: &id, Kind: orchard.Side, Status: orchard.Measured},
		{Path: "photos/b.jpg", Tree: &id, Kind: orchard.Floor, Status: orchard.Refused, Reason: "no sun", Mend: "come back"}}}
	var b strings.Builder
	if err := WriteExplain(&b, res, id); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	last := -1
	for _, want := range []string{"Tree height: 4.0 m (3.0", "depth", "0.78 m, 64 %", "focal length", "0.59 m, 36 %", "from photos/a.jpg", "none: no open sky", "photos/b.jpg: floor, refused: no sun: come back"} {
		at := strings.Index(got, want)
		if at <= last {
			t.Errorf("%q is missing or out of order in:\n%s", want, got)
		}
		last = at
	}
	if err := WriteExplain(&b, res, orchard.TreeID{Block: "b1", Row: 9, Tree: 9}); err == nil {
		t.Error("a tree without photos was explained")
	}
}
