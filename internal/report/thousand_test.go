package report

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// The size that issue 6 allows report.html of a thousand trees, and how many elements: it
// allows 2 s to open, and Chromium took 1.4 s with 310,000 (testdata/bench/open.py, 2026),
// most of it to read them.
const (
	mostPageBytes = 20 << 20
	mostElements  = 320_000
)

// thousand is an invented orchard of five blocks of 200 trees, each with every number that
// a tree can have, five photos, and a profile of every kind with a dozen places.
func thousand() *orchard.VisitResult {
	res := &orchard.VisitResult{Schema: Schema, Orchard: "A thousand trees", Visit: "2026-08-20"}
	for i := range 1000 {
		f := fixtureTree{fmt.Sprintf("b%d", i/200+1), i%200/20 + 1, i%20 + 1, 1 + i/40, .1, 5.5, 2.1, 90 - .09*float64(i), 8}
		t := orchard.TreeResult{ID: f.id(), Priority: f.priority(i + 1), Flags: []string{"no trunk seen at the board: the tree is taken to stand at the board"}}
		for _, k := range []orchard.Kind{orchard.Floor, orchard.Side, orchard.Alley} {
			for n := 1; n <= map[orchard.Kind]int{orchard.Floor: 2, orchard.Side: 1, orchard.Alley: 2}[k]; n++ {
				path, id := f.path(k, n), f.id()
				t.Photos = append(t.Photos, path)
				res.Photos = append(res.Photos, orchard.Record{Path: path, SHA256: fmt.Sprintf("%064x", len(res.Photos)), Visit: res.Visit, Tree: &id, Kind: k,
					TakenAt: at(10, i%60), Status: orchard.Measured, Overlay: fmt.Sprintf("overlays/%s-%s-%d.0123456789.jpg", treeKey(id), k, n)})
			}
			t.Measurements = append(t.Measurements, everything(k, f.path(k, 1))...)
		}
		res.Trees = append(res.Trees, t)
	}
	return res
}

// everything is a number of each quantity of a kind, every fourth with a remark.
func everything(k orchard.Kind, photo string) []orchard.Measurement {
	var out []orchard.Measurement
	for i, q := range quantities {
		if q.Kind != k {
			continue
		}
		m := measured(q.Q, map[form]string{share: "1", ratio: "1", metres: "m", area: "m2", degrees: "deg"}[q.Form], 0.41, 0.32, 0.57, photo)
		if i%4 == 0 {
			m.Flags = []string{"rows behind show up to 5.7 m: the sides there are drawn between what is clear over and under it"}
		}
		out = append(out, m)
	}
	for _, q := range profiles {
		if q.Kind == k {
			out = append(out, profile(q.Q, 0.5, 0.5, photo, 2.1, 3.4, 4.2, 4.6, 4.5, 4.3, 3.9, 3.1, 2.8, 2.1, 1.7, 0.9)...)
		}
	}
	return out
}

var pageFile = flag.String("page", "", "where to write the page of a thousand trees, to open it by hand or by testdata/bench/open.py")

func TestThousandTreesStayLight(t *testing.T) {
	opt := fixtureOptions()
	opt.OverlaySize = func(string) (int, int, bool) { return 1280, 960, true }
	page := htmlOf(t, thousand(), opt)
	if *pageFile != "" {
		if err := os.WriteFile(*pageFile, page, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%.1f MB", float64(len(page))/1e6)
	if len(page) > mostPageBytes {
		t.Errorf("the page of a thousand trees has %.1f MB, %d allowed", float64(len(page))/(1<<20), mostPageBytes>>20)
	}
	if n := len(regexp.MustCompile(`<[a-z]`).FindAllIndex(page, -1)); n > mostElements {
		t.Errorf("it has %d elements, %d allowed", n, mostElements)
	}
	images := 0
	for _, e := range parse(t, page) {
		if e.name != "img" {
			continue
		}
		images++
		if e.attr["loading"] != "lazy" || !strings.HasPrefix(e.attr["src"], "./overlays/") || e.attr["width"] == "" {
			t.Fatalf("a picture does not wait until it comes into view: %v", e.attr)
		}
	}
	if images != 5000 {
		t.Errorf("%d pictures of 5000", images)
	}
}

// Trees and photos written one by one are what encoding/json writes of the whole.
func TestResultsAreWrittenAsAWhole(t *testing.T) {
	empty := &orchard.VisitResult{Orchard: "\n  \"trees\": null", Visit: "\n  \"photos\": null <&>"}
	for name, res := range map[string]*orchard.VisitResult{"fixture": fixture(), "hostile": hostile(), "empty": empty} {
		whole := sound(res)
		if whole.Trees == nil {
			whole.Trees, whole.Photos = []orchard.TreeResult{}, []orchard.Record{}
		}
		want := bytesOf(t, func(w io.Writer) error { return encode(w, whole) })
		if got := bytesOf(t, func(w io.Writer) error { return WriteJSON(w, res) }); !bytes.Equal(got, want) {
			t.Errorf("%s: results.json is not what encoding/json writes:\n%.400s", name, got)
		}
	}
}

// What is out of view is not laid out on a screen, and all of it is on paper.
func TestStyleLaysOutWhatIsInView(t *testing.T) {
	css, err := templates.ReadFile("templates/report.css")
	if err != nil {
		t.Fatal(err)
	}
	screen, paper, _ := strings.Cut(string(css), "@media print")
	if !strings.Contains(screen, ".entry, .tree { content-visibility: auto;") || !strings.Contains(paper, ".entry, .tree { content-visibility: visible; }") {
		t.Error("trees and the order are laid out all at once on a screen, or not at all on paper")
	}
}

// A source that most rows share is said once; the others say theirs.
func TestSourceIsSaidOnce(t *testing.T) {
	one, tape := source{From: []photoRef{{"floor 1", "a"}}}, source{Method: "tape"}
	rows := []numberRow{{Source: one}, {Source: tape}, {Source: one}, {Source: source{}}}
	shared := sayOnce(rows)
	if shared.From == nil || shared.From[0].ID != "a" {
		t.Fatalf("shared source is %+v", shared)
	}
	for i, none := range []bool{true, false, true, true} {
		if rows[i].Source.None() != none {
			t.Errorf("row %d says %+v", i, rows[i].Source)
		}
	}
	if s := sayOnce([]numberRow{{}, {}}); !s.None() {
		t.Errorf("rows without a source share %+v", s)
	}
}

// A profile has a bar and a line of text a place, the highest on top.
func TestProfileHasABarAndALineAPlace(t *testing.T) {
	q := quantity{Q: orchard.WidthAtHeightM, Label: "Width", Form: metres, Kind: orchard.Side}
	v := newProfile(q, profile(q.Q, 1, 1, "p", 4, 2, 1))
	lines := strings.Split(v.Lines, "\n")
	if len(lines) != 3 || !strings.HasPrefix(lines[0], "3"+space+"m: 1.00 ") || !strings.HasPrefix(lines[2], "1"+space+"m: 4.00 ") {
		t.Errorf("lines are %q", lines)
	}
	// The widest interval ends at 4.2 m and fills the drawing's 144 units: 1 m is 34 of them
	// about the middle, in the middle of the first line of 18.
	if strings.Count(v.Bars, "M") != 3 || !strings.HasPrefix(v.Bars, "M55 9H89") || v.Height != "54" {
		t.Errorf("bars are %q on %s", v.Bars, v.Height)
	}
	if strings.Count(v.Whiskers, "M") != 3 {
		t.Errorf("intervals are %q", v.Whiskers)
	}
}
