package plan

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

// folder lays out an orchard folder with a visit's results.
func folder(t *testing.T, o *orchard.Orchard, visits ...*orchard.VisitResult) string {
	t.Helper()
	dir := t.TempDir()
	for _, v := range visits {
		for _, at := range []string{orchard.PhotosDir, orchard.ResultsDir} {
			if err := os.MkdirAll(filepath.Join(dir, at, v.Visit), 0o755); err != nil {
				t.Fatal(err)
			}
		}
		var b bytes.Buffer
		if err := report.WriteJSON(&b, v); err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, orchard.ResultsDir, v.Visit, report.JSONName), b.String())
	}
	return dir
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestLoadTakesTheVisitAndWhatOthersTeach(t *testing.T) {
	o := testOrchard(t, "")
	dir := folder(t, o, visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4)), visit(o, "2025-08-20", result("b1", 1, 1, 1, .08, 4)))
	write(t, filepath.Join(dir, orchard.MarksFile), "block,row,tree,mark\nb1,1,1,too_young\nb1,1,1,nonsense\n")
	in, problems, err := Load(dir, o, "2026-08-20")
	if err != nil {
		t.Fatal(err)
	}
	if in.Visit.Visit != "2026-08-20" || len(in.History) != 1 || len(in.Marks) != 1 || len(problems) != 1 {
		t.Errorf("%d visits besides, %d marks, problems %v", len(in.History), len(in.Marks), problems)
	}
	write(t, filepath.Join(dir, orchard.PhotosDir, "2026-08-20", "b1-r01-t02-floor.jpg"), "new")
	if in, _, err = Load(dir, o, "2026-08-20"); err != nil || in.NewPhotos != 1 {
		t.Errorf("%d new photos, want 1: %v", in.NewPhotos, err)
	}
	if said := strings.Join(build(t, in).Notes, " "); !strings.Contains(said, "not in its results yet: 1.") {
		t.Errorf("notes %s", said)
	}
	write(t, filepath.Join(dir, orchard.ResultsDir, "2025-08-20", report.JSONName), "{")
	if _, problems, err = Load(dir, o, "2026-08-20"); err != nil || len(problems) != 2 {
		t.Errorf("a broken other visit: %v %v", problems, err)
	}
}

func TestLoadSaysWhatToDo(t *testing.T) {
	o := testOrchard(t, "")
	dir := folder(t, o, visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4)))
	if err := os.MkdirAll(filepath.Join(dir, orchard.PhotosDir, "2026-09-01"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, say := range map[string]string{
		"2026-09-01": "has no results yet: run first: rowlight assess --visit 2026-09-01",
		"2026-10-01": "there is no such folder: the visits are 2026-08-20, 2026-09-01",
		"../x":       "cannot name a folder",
	} {
		if _, _, err := Load(dir, o, name); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%s: %v, want %q", name, err, say)
		}
	}
	write(t, filepath.Join(dir, orchard.ResultsDir, "2026-08-20", report.JSONName), `{"schema":"rowlight-results/9"}`)
	if _, _, err := Load(dir, o, "2026-08-20"); err == nil || !strings.Contains(err.Error(), "run again: rowlight assess") {
		t.Errorf("results of another schema: %v", err)
	}
}

// A fifth of the leaf off in one sector that clears fully (trade 8.4: .05 to .24) has a
// site factor of 1: the plan then asks for the window's share alone.
func TestSiteFactorIsLearnedFromComparisons(t *testing.T) {
	o := testOrchard(t, "")
	dir := folder(t, o, visit(o, "2026-08-20", result("b1", 1, 1, 1, .02, 4)), visit(o, "2026-09-24", result("b1", 1, 2, 1, .24, 4)))
	tree := func(n int, verdict string) string {
		return fmt.Sprintf(`{"id":{"block":"b1","row":1,"tree":%d},"verdict":%q,"leaf_removed_by_side":{"value":0.2,"low95":0.1,"high95":0.3},
"changes":[{"quantity":"sunlit_fraction_zenith20","before":{"value":0.05,"low95":0.04,"high95":0.06},"after":{"value":0.24,"low95":0.2,"high95":0.3}}]}`, n, verdict)
	}
	text := `{"schema":"rowlight-compare/1","after":"2026-09-24","trees":[` + strings.Join([]string{tree(1, "cut"), tree(2, "cut"), tree(3, "cut"), tree(4, "no verdict")}, ",") + `]}`
	at := filepath.Join(dir, orchard.ResultsDir, "2026-09-24")
	write(t, filepath.Join(at, "compare-2026-08-20.json"), text)
	write(t, filepath.Join(at, "compare-2026-08-21.json"), text) // the same trees again
	write(t, filepath.Join(at, "compare-2026-08-22.json"), "{")
	in, _, err := Load(dir, o, "2026-08-20")
	if err != nil {
		t.Fatal(err)
	}
	if len(in.SitePairs) != 3 {
		t.Fatalf("%d pairs, want the three trees that were cut, once each", len(in.SitePairs))
	}
	p := build(t, in)
	if p.Site == nil || math.Abs(p.Site.Value-1) > 1e-9 || !strings.Contains(p.Site.From, "3 of your own trees") {
		t.Fatalf("site %+v", p.Site)
	}
	// Trade 8.1: w at .02 is .1837.
	if y := p.Trees[0].ThisYear; math.Abs(y.Low-.1837) > .0001 || y.Low != y.High {
		t.Errorf("this year %+v", y)
	}
}
