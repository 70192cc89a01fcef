package compare

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

const head = `name = "Test"
[place]
latitude_deg = -28.0
longitude_deg = 152.5
time_zone = "Australia/Brisbane"
[crop]
name = "avocado"
[[blocks]]
key = "b1"
habit = "vigorous"
rows = 1
trees_per_row = 6
row_spacing_m = 6
tree_spacing_m = 4
row_direction_deg = 0
`

func load(t *testing.T, more string) (*orchard.Orchard, string) {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(head+more), 0o644); err != nil {
		t.Fatal(err)
	}
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	return o, dir
}

func id(n int) orchard.TreeID { return orchard.TreeID{Block: "b1", Row: 1, Tree: n} }

func number(q orchard.Quantity, unit string, v, sd float64) orchard.Measurement {
	low, high := v-1.96*sd, v+1.96*sd
	return orchard.Measurement{Quantity: q, Unit: unit, Value: &v, Low95: &low, High95: &high}
}

// lit is a tree whose floor shows a share, the sun at a zenith.
func lit(n int, share, zenithDeg float64) orchard.TreeResult {
	return orchard.TreeResult{ID: id(n), Measurements: []orchard.Measurement{
		number(orchard.SunlitFraction, "1", share, 0.01), number(orchard.SunElevationDeg, "deg", 90-zenithDeg, 0.1), number(orchard.FloorAreaM2, "m2", 40, 0.1)}}
}

func visitOf(name string, trees ...orchard.TreeResult) *orchard.VisitResult {
	return &orchard.VisitResult{Visit: name, Trees: trees}
}

func mustRun(t *testing.T, o *orchard.Orchard, before, after *orchard.VisitResult, change func(*Options)) *Result {
	t.Helper()
	opt := Options{Dir: t.TempDir(), Orchard: o, Before: before, After: after}
	if change != nil {
		change(&opt)
	}
	res, err := Run(context.Background(), opt)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// The trade notes' worked floors (5.3) at one sun 20 degrees from overhead: the
// block's mean change and the effect against the untouched trees come out as there.
func TestWorkedFloorsOfABlock(t *testing.T) {
	o, _ := load(t, "")
	before := visitOf("2026-08-01", lit(1, .06, 20), lit(2, .08, 20), lit(3, .05, 20), lit(4, .10, 20), lit(5, .07, 20), lit(6, .09, 20))
	after := visitOf("2026-09-01", lit(1, .19, 20), lit(2, .22, 20), lit(3, .16, 20), lit(4, .24, 20), lit(5, .17, 20), lit(6, .21, 20))
	m := mustRun(t, o, before, after, nil).Blocks[0].Changes[0]
	for what, d := range map[string]float64{"mean": m.Value.Value - .12333, "low": m.Low95 - .1062, "high": m.High95 - .1405} {
		if d < -1e-4 || d > 1e-4 {
			t.Errorf("%s is off by %g", what, d)
		}
	}
	if !m.Seen || m.Trees != 6 || m.Against {
		t.Errorf("%+v", m)
	}
}

// Under a sun 10 degrees higher all floors brighten alike: no verdict without
// untouched trees, one with them.
func TestTheSunIsNotTakenForACut(t *testing.T) {
	o, _ := load(t, "")
	var b, a []orchard.TreeResult
	for n := 1; n <= 6; n++ {
		p, q := .05+.005*float64(n), .09+.006*float64(n)
		if n <= 3 {
			q += .10
		}
		b, a = append(b, lit(n, p, 40)), append(a, lit(n, q, 30))
	}
	alone := mustRun(t, o, visitOf("2026-08-01", b...), visitOf("2026-09-01", a...), nil).Blocks[0].Changes[0]
	if alone.Seen || !alone.Sun {
		t.Errorf("without untouched trees: %+v", alone)
	}
	against := mustRun(t, o, visitOf("2026-08-01", b...), visitOf("2026-09-01", a...), func(opt *Options) {
		opt.Untouched = []orchard.TreeID{id(4), id(5), id(6)}
	}).Blocks[0].Changes[0]
	if !against.Seen || !against.Against || against.Controls != 3 {
		t.Errorf("against untouched trees: %+v", against)
	}
}

func TestBadVisitsAreSaid(t *testing.T) {
	o, _ := load(t, "missing = [\"r01-t06\"]\n")
	before := visitOf("2026-08-01", lit(1, .06, 20), lit(2, .08, 20), lit(3, .05, 20), lit(4, .07, 20))
	before.Photos = []orchard.Record{{Path: "photos/2026-08-01/b1-r01-t06-side-1.jpg", Status: orchard.Unplaced}}
	after := visitOf("2026-09-01", lit(1, .19, 20), lit(5, .2, 20))
	res := mustRun(t, o, before, after, nil)
	var text bytes.Buffer
	if err := WriteLines(&text, res); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"b1-r01-t02, b1-r01-t03, b1-r01-t04",
		"3 trees have no usable photo or tape at 2026-09-01 and are not compared",
		"1 tree has no usable photo or tape at 2026-08-01 and is not compared: b1-r01-t05.",
		"4 of 6 trees could not be compared",
		"Felled, as it seems: b1-r01-t06",
		"1 of 1 compared tree seen to be cut",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("not said: %q in\n%s", want, text.String())
		}
	}
	if len(res.Trees) != 6 {
		t.Errorf("%d trees in the result, want all 6", len(res.Trees))
	}
	for _, w := range []func() error{
		func() error { return WriteJSON(&text, res) },
		func() error { return WriteCSV(&text, res) },
		func() error { return WriteHTML(&text, res, o, time.Time{}) },
	} {
		if err := w(); err != nil {
			t.Error(err)
		}
	}
}

func TestVisitsThatCannotBeCompared(t *testing.T) {
	o, _ := load(t, "")
	at := func(day int) *time.Time { d := time.Date(2026, 8, day, 11, 0, 0, 0, time.UTC); return &d }
	a, b := visitOf("first"), visitOf("second")
	a.Photos = []orchard.Record{{Path: "x", Status: orchard.Measured, TakenAt: at(20)}}
	b.Photos = []orchard.Record{{Path: "y", Status: orchard.Measured, TakenAt: at(10)}}
	for want, opt := range map[string]Options{
		"both visits are first": {Orchard: o, Before: a, After: a},
		"the other way about":   {Orchard: o, Before: a, After: b},
	} {
		if _, err := Run(context.Background(), opt); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// The manager's line, counted by hand: three planned trees, two of them cut and one
// beside the plan; removed .10, .21, .30: median .21, one over .25.
func TestHeadline(t *testing.T) {
	o, _ := load(t, "")
	r := &run{opt: Options{Orchard: o}}
	planned := &plannedTree{}
	for n, removed := range map[int]float64{1: .10, 2: .21, 3: .30, 4: 0} {
		x := &tree{before: &orchard.TreeResult{}, after: &orchard.TreeResult{}}
		if n != 3 {
			x.planned = planned
		}
		x.out.Verdict = NoChange
		if removed > 0 {
			x.out.Verdict = Cut
			x.out.LeafRemoved = &Value{removed, removed - .02, removed + .02}
			x.out.Yearly = against(*x.out.LeafRemoved, .15, .25)
			x.out.Changes = []Change{{Quantity: orchard.SunlitFractionRef, Before: Value{Value: .07}, After: Value{Value: .18}}}
		}
		r.trees = append(r.trees, x)
	}
	const want = "2 of 3 planned trees cut and 1 not planned; median 21 % of the leaf removed; floor light 7 to 18 %; 1 tree over 25 %."
	if got := r.headline(); got != want {
		t.Errorf("%q\nwant %q", got, want)
	}
}

// pairs copies rendered side photos into an orchard folder and returns the two
// visits as measured; swapped puts the second photos under each other's tree.
func pairs(t *testing.T, dir string, swapped bool) (before, after *orchard.VisitResult) {
	t.Helper()
	const truth = "../../../shared/truth/rendered"
	if _, err := os.Stat(truth); err != nil {
		t.Skip("SKIPPED: the rendered pairs are not on this machine: ", truth)
	}
	before, after = visitOf("2024-01-05"), visitOf("2024-01-06")
	for n := 1; n <= 2; n++ {
		for k, v := range []*orchard.VisitResult{before, after} {
			of := n - 1
			if swapped && k == 1 {
				of = 2 - n
			}
			data, err := os.ReadFile(fmt.Sprintf("%s/practice_pair_%02d_side_%s.jpg", truth, of, [2]string{"before", "after"}[k]))
			if err != nil {
				t.Fatal(err)
			}
			path := fmt.Sprintf("photos/%s/%s-side-1.jpg", v.Visit, id(n))
			at := filepath.Join(dir, filepath.FromSlash(path))
			if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(at, data, 0o644); err != nil {
				t.Fatal(err)
			}
			tree := id(n)
			v.Photos = append(v.Photos, orchard.Record{Path: path, Visit: v.Visit, Tree: &tree, Kind: orchard.Side, Status: orchard.Measured})
			v.Trees = append(v.Trees, orchard.TreeResult{ID: tree})
		}
	}
	return before, after
}

// Two trees photographed before and after a cut of 24 and 23 % of their leaf (the
// pairs' truth): both are seen to be cut, the truth within each interval.
func TestPairsOfPhotos(t *testing.T) {
	o, dir := load(t, "")
	before, after := pairs(t, dir, false)
	out := filepath.Join(dir, "results")
	res := mustRun(t, o, before, after, func(opt *Options) { opt.Dir, opt.OutDir = dir, out })
	for i, truth := range []float64{.2431, .2256} {
		tree := res.Trees[i]
		if tree.Verdict != Cut || tree.LeafRemoved.Low95 > truth || tree.LeafRemoved.High95 < truth {
			t.Errorf("%s: %s, %+v, truth %.3f", tree.ID, tree.Say, tree.LeafRemoved, truth)
		}
		if len(tree.Pictures) != 1 || !tree.Pictures[0].Aligned {
			t.Errorf("%s: pictures %+v", tree.ID, tree.Pictures)
		}
	}
}

func TestSwappedPhotosAreFoundAndSaid(t *testing.T) {
	o, dir := load(t, "")
	before, after := pairs(t, dir, true)
	res := mustRun(t, o, before, after, func(opt *Options) { opt.Dir = dir })
	if len(res.Notes) == 0 || !strings.Contains(res.Notes[0], "look swapped: neither is compared") {
		t.Errorf("notes %q", res.Notes)
	}
	for i, other := range []int{2, 1} {
		tree := res.Trees[i]
		if tree.SwappedWith == nil || *tree.SwappedWith != id(other) || tree.LeafRemoved != nil || tree.Verdict != NoVerdict {
			t.Errorf("%s: %+v", tree.ID, tree)
		}
	}
}
