package pipeline_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// A tape is used where no photo was taken and in the place of what a photo gave,
// and is marked as a tape in both.
func TestTapesAreUsedAndMarked(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-side.jpg": truthPhoto(t, "practice_side_02")})
	sheet := `block,row,tree,visit,quantity,value_m,uncertainty_m,note
b1,1,1,` + visit + `,height,9.00,0.15,
b1,2,5,` + visit + `,clear_alley,1.85,0.10,too narrow for a photo
b1,2,6,2025-01-01,clear_alley,1.00,0.10,another visit
`
	if err := os.WriteFile(filepath.Join(dir, orchard.MeasuredFile), []byte(sheet), 0o644); err != nil {
		t.Fatal(err)
	}
	res := runIn(t, dir)
	if len(res.Visit.Trees) != 2 {
		t.Fatalf("%d trees, want 2: the tape of another visit is not this one's", len(res.Visit.Trees))
	}
	for _, tree := range res.Visit.Trees {
		q, want, low, missing := orchard.HeightM, 9.00, 8.85, []orchard.Kind{orchard.Floor, orchard.Alley}
		if tree.ID.Tree == 5 {
			q, want, low, missing = orchard.ClearWidthM, 1.85, 1.75, []orchard.Kind{orchard.Floor, orchard.Side}
		}
		m := tree.Find(q)
		if m == nil || m.Value == nil || *m.Value != want || *m.Low95 != low || m.Method != "tape" || !strings.Contains(strings.Join(m.Flags, " "), "measured by tape") {
			t.Errorf("%s: %s is %+v, want the tape's %.2f m, marked", tree.ID, q, m, want)
		}
		if tree.Priority == nil || !slices.Equal(tree.Missing, missing) {
			t.Errorf("%s: ranked %v, missing %v, want %v", tree.ID, tree.Priority != nil, tree.Missing, missing)
		}
		if said := strings.Join(m.Flags, " "); tree.ID.Tree == 1 && !strings.Contains(said, "photos gave") {
			t.Errorf("flags %q do not tell what the photo gave", said)
		}
	}
}
