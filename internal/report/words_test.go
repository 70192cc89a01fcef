package report

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"rowlight/internal/orchard"
	"rowlight/internal/wholefile"
)

func TestNumbersForPeople(t *testing.T) {
	for _, c := range []struct {
		v, low, high float64
		f            form
		want         string
	}{
		{.06, .03, .11, share, "6 % (3–11)"},
		{0, 0, .01, share, "0 % (0–1)"},
		{.004, .001, .02, share, "under 1 % (0–2)"},
		{4.85, 4.7, 5.0, metres, "4.85 m (4.70–5.00)"},
		{4.85, 4.2, 5.5, metres, "4.9 m (4.2–5.5)"}, // half a metre wide: one decimal
		{64.2, 64.1, 64.3, degrees, "64° (64–64)"},
		{.82, .7, .95, ratio, "0.8 (0.7–1.0)"},
		{6.32, 6.2, 6.4, area, "6.3 m² (6.2–6.4)"},
		{-.0001, -.0002, .001, share, "0 % (0–0)"},
	} {
		m := measured("x", "1", c.v, c.low, c.high)
		if got := strings.ReplaceAll(show(m, c.f).Full(), space, " "); got != c.want {
			t.Errorf("%v: %q, want %q", c, got, c.want)
		}
	}
}

func TestTiesAreRuns(t *testing.T) {
	ranked, unranked := groups(fixture().Trees)
	var labels []string
	n := 0
	for _, g := range ranked {
		labels = append(labels, g.Label())
		n += len(g.Trees)
	}
	if got := strings.Join(labels, " "); got != "1–3 4–5 6 7–9 10 11" {
		t.Errorf("groups %s", got)
	}
	if n != 11 || len(unranked) != 1 {
		t.Errorf("%d ranked, %d not", n, len(unranked))
	}
	untied := []orchard.TreeResult{{Priority: &orchard.Priority{Rank: 1}}, {Priority: &orchard.Priority{Rank: 2}}}
	if g, _ := groups(untied); len(g) != 2 {
		t.Error("trees without a tie number are shown as tied")
	}
}

// North on the map: rows run to the right on the page. Walking east (90),
// north is up (0); walking north (0), north is to the right (90); walking
// west (270), the page stands on its head (180).
func TestNorthArrow(t *testing.T) {
	for bearing, want := range map[float64]float64{90: 0, 0: 90, 270: 180, 180: 270, 352: 98, -8: 98, 450: 0} {
		if got := northOnMap(bearing); got != want {
			t.Errorf("bearing %v: north at %v, want %v", bearing, got, want)
		}
	}
}

func TestMapShowsTreesBeyondTheLayout(t *testing.T) {
	res := fixture()
	res.Trees[0].ID = orchard.TreeID{Block: "unheard of", Row: 1 << 40, Tree: -3}
	ranked, _ := groups(res.Trees)
	cells, marked := 0, 0
	for _, m := range maps(res, ranked, fixtureOptions().Layout) {
		for _, r := range m.Rows {
			for _, c := range r.Cells {
				cells++
				if c.Anchor != "" {
					marked++
				}
			}
		}
	}
	if marked != len(res.Trees) || cells > 16+8+1 {
		t.Errorf("%d of %d trees on the map, %d cells", marked, len(res.Trees), cells)
	}
}

// trade practice: 0.8 x 6 m rows is 4.8 m, below 5 m and 2 x 2.5 m.
func TestOptionsForAnOrchard(t *testing.T) {
	o := &orchard.Orchard{Crop: orchard.Crop{Targets: orchard.DefaultTargets()}, Blocks: []orchard.Block{
		{Key: "b1", Rows: []int{1, 2}, RowTrees: []int{3, 2}, RowSpacingM: 6, TreeSpacingM: 4, RowDirectionDeg: 90, Missing: []orchard.TreeID{{Block: "b1", Row: 1, Tree: 2}}},
	}}
	opt := OptionsFor(o, fixtureTime())
	b := opt.Layout.Blocks[0]
	if b.HeightLimitM < 4.8-1e-9 || b.HeightLimitM > 4.8+1e-9 || *b.RowBearingDeg != 90 || b.trees() != 4 {
		t.Errorf("%+v with %d trees", b, b.trees())
	}
	for id, want := range map[orchard.TreeID]bool{{Block: "b1", Row: 1, Tree: 1}: true, {Block: "b1", Row: 1, Tree: 2}: false,
		{Block: "b1", Row: 2, Tree: 3}: false, {Block: "b1", Row: 3, Tree: 1}: false, {Block: "b1", Row: 1, Tree: 0}: false} {
		if b.stands(id) != want {
			t.Errorf("%v stands: %v", id, !want)
		}
	}
	if opt.Targets.SunlitFraction != 0.2 || opt.Targets.RemovalHigh != 0.25 || !opt.GeneratedAt.Equal(fixtureTime()) {
		t.Errorf("%+v", opt.Targets)
	}
}

func TestRankingFitsTheTerminal(t *testing.T) {
	res := fixture()
	for _, width := range []int{0, 24, 40, 63, 64, 80, 120, 400} {
		var b strings.Builder
		if err := WriteRanking(&b, res, width); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := utf8.RuneCountInString(line); n > max(width, minWidth) || strings.HasSuffix(line, " ") {
				t.Errorf("width %d: %d signs in %q", width, n, line)
			}
		}
		flat := strings.Join(strings.Fields(b.String()), " ")
		for _, tr := range res.Trees {
			if !strings.Contains(flat, shortName(tr.ID)) {
				t.Errorf("width %d: %v is not in the list", width, tr.ID)
			}
		}
		for _, want := range []string{"1-3 tied", "83 (75-91)", "floor 4 % sunlit, target 20 %", "6.4 m high, limit 5.0 m", "no usable side or alley photo"} {
			if !strings.Contains(flat, want) {
				t.Errorf("width %d: %q is not in the list", width, want)
			}
		}
	}
	for _, r := range "–²°\u00a0" {
		if strings.ContainsRune(plain("4–5 m² 20° 6\u00a0%"), r) {
			t.Errorf("%q reaches the terminal", r)
		}
	}
}

func TestScoutListGroupsByMend(t *testing.T) {
	p := newPage(fixture(), fixtureOptions())
	if len(p.Retakes) != 3 || p.Retakes[0].Mend != "come back when the sun is higher" || len(p.Retakes[0].Photos) != 2 {
		t.Fatalf("%+v", p.Retakes)
	}
	if got := p.Retakes[0].Photos[0].Mend; got != "after 09:40" {
		t.Errorf("what differs is %q", got)
	}
	if len(p.Broken) != 1 || len(p.Unplaced) != 1 {
		t.Errorf("broken %v, unplaced %v", p.Broken, p.Unplaced)
	}
	// b2 1/1 has a refused alley photo and stands under its mend; b1 2/3 never
	// had an alley photo, b2 2/4 neither side nor alley.
	if len(p.StillToTake) != 2 || p.StillToTake[1].Missing != "side, alley" {
		t.Errorf("still to take %+v", p.StillToTake)
	}
	if want := (noPhoto{"River flat", 16 - 8, 16}); p.NoPhotos[0] != want {
		t.Errorf("passed by %+v, want %+v", p.NoPhotos[0], want)
	}
}

func TestLeadersInWords(t *testing.T) {
	tree := func(rank, tie int) orchard.TreeResult {
		return orchard.TreeResult{ID: orchard.TreeID{Block: "b", Row: 1, Tree: rank}, Priority: &orchard.Priority{Rank: rank, Tie: tie}}
	}
	for _, c := range []struct {
		ties []int
		want string
	}{
		{nil, "No tree could"}, {[]int{1}, "The only tree"}, {[]int{1, 2}, "One tree is clearly first"},
		{[]int{1, 1}, "cannot be told apart yet"}, {[]int{1, 1, 2}, "2 trees clearly come first"},
		{[]int{1, 1, 1, 1, 1, 1, 1, 1, 2}, "and 2 more."},
	} {
		var trees []orchard.TreeResult
		for i, tie := range c.ties {
			trees = append(trees, tree(i+1, tie))
		}
		ranked, _ := groups(trees)
		if got := leaders(ranked, len(trees), Layout{}); !strings.Contains(got, c.want) {
			t.Errorf("%v: %q, want %q in it", c.ties, got, c.want)
		}
	}
}

var update = flag.Bool("update", false, "write testdata anew")

// TestGoldens guards the layout only; what is true is tested elsewhere.
// `go test ./internal/report -update` writes them; open testdata/report.html
// to see the page (its photos are not there).
func TestGoldens(t *testing.T) {
	res := fixture()
	all := writers(res, fixtureOptions())
	all["ranking.txt"] = func(w io.Writer) error { return WriteRanking(w, res, 80) }
	for _, name := range []string{HTMLName, TreesCSVName, PhotosCSVName, GeoJSONName, "ranking.txt"} {
		got := bytesOf(t, all[name])
		path := filepath.Join("testdata", name)
		if *update {
			if err := wholefile.Write(path, func(w io.Writer) error { _, err := w.Write(got); return err }); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from testdata; look at it, then run with -update", name)
		}
	}
}
