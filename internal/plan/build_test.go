package plan

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

func number1(v float64) *float64 { return &v }
func whole(v int) *int           { return &v }

func TestHowMuchThisYear(t *testing.T) {
	o := testOrchard(t, "")
	for _, c := range []struct {
		sunlit, low, high float64
		seasons           string
	}{
		{0.05, .1579, .25, "4"}, // trade 8.1 and 8.3: w .1579, r .4628 over the cap; 4 to 7 years
		{0.10, .15, .25, "2"},   // w .1111 under the yearly least
		{0.12, .15, .2409, "1"}, // r .2409
		{0.18, .15, .15, "1"},   // r .0614: a cut that is due is no less than the least
	} {
		p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, c.sunlit, 4))})
		if len(p.Trees) != 1 {
			t.Fatalf("floor %g: %d trees", c.sunlit, len(p.Trees))
		}
		y := p.Trees[0].ThisYear
		if math.Abs(y.Low-c.low) > 0.0001 || math.Abs(y.High-c.high) > 0.0001 {
			t.Errorf("floor %g: %.4f to %.4f, want %.4f to %.4f", c.sunlit, y.Low, y.High, c.low, c.high)
		}
		// Trade 8.1's formulas: p0^(1-high) evenly, p0 + low (1-p0) by a window.
		thin, window := math.Pow(c.sunlit, 1-c.high), c.sunlit+c.low*(1-c.sunlit)
		if e := y.Expect; e == nil || math.Abs(e.Low-min(thin, window)) > .0002 || math.Abs(e.High-max(thin, window)) > .0002 {
			t.Errorf("floor %g: expects %+v, want %.4f and %.4f", c.sunlit, e, thin, window)
		}
		if low := p.Trees[0].Light.Seasons.Low95; low > c.seasons {
			t.Errorf("floor %g: at least %s years, the table has %s at the lower regrowth", c.sunlit, low, c.seasons)
		}
	}
}

func TestLightEnoughIsMaintenance(t *testing.T) {
	o := testOrchard(t, "")
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .25, 4.5))})
	if len(p.Trees) != 0 || len(p.Maintenance) != 1 || p.Maintenance[0].Options[0].Key != "maintenance" {
		t.Errorf("%+v", p)
	}
	if !strings.Contains(strings.Join(p.Notes, " "), "No tree is due") {
		t.Errorf("notes %v", p.Notes)
	}
}

// A hedge of a tree, as wide at 7.5 m as below: more than a quarter of it stands over
// 5 m, so this year's height lies between.
func TestTopIsStagedOverYears(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, .04, 7.5)
	for z := 0.5; z < 7.5; z += 0.5 {
		m := measured(orchard.WidthAtHeightM, 4.5, .2)
		m.AtM = number1(z)
		r.Measurements = append(r.Measurements, m)
	}
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r)})
	top := p.Trees[0].Places[0]
	// A box from 0.6 to 7.5 m, its last half metre tapering to a point: a quarter of
	// 6.65 m of full width lies over 7.5 - 0.25 - 1.6625 = 5.59 m.
	if top.Kind != "top" || math.Abs(top.LowM-5.59) > 0.08 || math.Abs(*top.Outline-.25) > 0.001 {
		t.Errorf("top %+v", top)
	}
	if !strings.Contains(top.Say, "the limit of 5.0 m comes in the years after") {
		t.Errorf("it is not said that it takes years: %s", top.Say)
	}
	if p.Trees[0].Options[0].Key != "columns" { // 7.5 m of 5 m, 4.5 m wide
		t.Errorf("first way %s", p.Trees[0].Options[0].Key)
	}
}

func TestGatesStandApartWithTheirReason(t *testing.T) {
	o := testOrchard(t, "")
	marks := marked(t, o, "b1,1,1,power_line,2026-08-01,,low wire\nb1,1,2,root_rot,,,\nb1,1,2,drainage_mended,,,\nb1,2,,too_young,,,replanted\n")
	unranked := orchard.TreeResult{ID: orchard.TreeID{Block: "b1", Row: 1, Tree: 4}, Unranked: "nothing of this tree could be measured"}
	// Gated when the visit was assessed; its mark has been taken out since.
	once := result("b2", 2, 2, 9, .05, 4)
	once.Priority, once.Unranked = nil, "too young"
	p := build(t, Input{Orchard: o, Marks: marks, Visit: visit(o, "2026-08-20", once,
		result("b1", 1, 1, 1, .03, 6), result("b1", 1, 2, 2, .04, 6), result("b1", 1, 3, 3, .05, 4), unranked)})
	if got := ids(p.Trees); !slices.Equal(got, []string{"b1-r01-t03"}) {
		t.Errorf("to do %v", got)
	}
	said := map[string]string{}
	for _, a := range p.Apart {
		said[a.ID.String()] = strings.Join(a.Reasons, "; ") + " | " + a.Advice
	}
	for id, want := range map[string][]string{
		"b1-r01-t01": {"power line near (since 2026-08-01: low wire)", "network operator"},
		"b1-r01-t02": {"root rot known", "head back hard", "drainage mended"},
		"b1-r01-t04": {"nothing of this tree could be measured", "retake"},
		"b2-r02-t02": {"too young", "run rowlight assess again"},
		"b1-r02-t01": {"too young (replanted)"}, // gated though it has no photo
	} {
		for _, w := range want {
			if !strings.Contains(said[id], w) {
				t.Errorf("%s: %q does not say %q", id, said[id], w)
			}
		}
	}
	if n := len(p.Unmeasured); n != 12+4-5-4 { // 16 trees, 5 in the visit, 4 of row 2 gated
		t.Errorf("%d trees without a number, want 7: %v", n, p.Unmeasured)
	}
}

func TestCrewDoesNotZigzagAndSickBlocksComeLast(t *testing.T) {
	o := testOrchard(t, "")
	in := Input{Orchard: o, Visit: visit(o, "2026-08-20",
		result("b2", 1, 1, 1, .02, 4), result("b1", 2, 1, 2, .03, 4), result("b1", 1, 3, 3, .03, 4), result("b1", 2, 4, 4, .03, 4),
		result("b1", 1, 1, 5, .05, 4), result("b1", 3, 2, 6, .06, 4), result("b2", 1, 2, 7, .06, 4))}
	want := []string{"b2-r01-t01", "b2-r01-t02", "b1-r01-t01", "b1-r01-t03", "b1-r02-t04", "b1-r02-t01", "b1-r03-t02"}
	if got := ids(build(t, in).Trees); !slices.Equal(got, want) {
		t.Errorf("order %v, want up row 1, down row 2, up row 3: %v", got, want)
	}
	in.Marks = marked(t, o, "b2,2,2,root_rot_suspected,,,\n")
	p := build(t, in)
	want = append(want[2:], want[:2]...)
	if got := ids(p.Trees); !slices.Equal(got, want) {
		t.Errorf("order with a sick tree in b2 %v, want %v", got, want)
	}
	if !strings.Contains(strings.Join(p.Notes, " "), "Block b2 has root rot marked") {
		t.Errorf("notes %v", p.Notes)
	}
}

func TestLimits(t *testing.T) {
	o := testOrchard(t, "[plan]\n[plan.hours_per_tree]\nlimb_removal = 1.5\ncolumns = 4\n")
	trees := []orchard.TreeResult{result("b1", 1, 1, 1, .03, 4), result("b1", 1, 2, 2, .03, 7), result("b1", 1, 3, 3, .03, 4), result("b1", 1, 4, 4, .03, 4)}
	v := visit(o, "2026-08-20", trees...)
	for name, c := range map[string]struct {
		hours *float64
		trees *int
		do    int
		left  []string
		sum   float64
	}{
		"no limit":  {nil, nil, 4, nil, 8.5},
		"two trees": {nil, whole(2), 2, []string{"b1-r01-t03", "b1-r01-t04"}, 5.5},
		// The second, a big tree of 4 hours, does not fit into 4: the third and fourth
		// would, but 1.5 + 1.5 leaves no more than 1.
		"four hours":       {number1(4), nil, 2, []string{"b1-r01-t02", "b1-r01-t04"}, 3},
		"hours to the dot": {number1(8.5), nil, 4, nil, 8.5},
		"both":             {number1(8.5), whole(1), 1, []string{"b1-r01-t02", "b1-r01-t03", "b1-r01-t04"}, 1.5},
	} {
		p := build(t, Input{Orchard: o, Visit: v, MaxHours: c.hours, MaxTrees: c.trees})
		if len(p.Trees) != c.do || !slices.Equal(ids(p.Left), c.left) || p.Hours == nil || *p.Hours != c.sum {
			t.Errorf("%s: %v, left %v, hours %v", name, ids(p.Trees), ids(p.Left), p.Hours)
		}
	}
}

func TestBadInputSaysWhatToDo(t *testing.T) {
	bare := testOrchard(t, "")
	withHours := testOrchard(t, "[plan]\n[plan.hours_per_tree]\nlimb_removal = 1.5\n")
	v := func(o *orchard.Orchard) *orchard.VisitResult {
		return visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4), result("b1", 1, 2, 2, .05, 4))
	}
	for say, in := range map[string]Input{
		"--hours 0 leaves no time":           {Orchard: withHours, Visit: v(withHours), MaxHours: number1(0)},
		"--hours NaN leaves no time":         {Orchard: withHours, Visit: v(withHours), MaxHours: number1(math.NaN())},
		"--trees 0 leaves no tree":           {Orchard: bare, Visit: v(bare), MaxTrees: whole(0)},
		"under [plan.hours_per_tree], as li": {Orchard: bare, Visit: v(bare), MaxHours: number1(8)},
		"--hours 1 is less than any tree":    {Orchard: withHours, Visit: v(withHours), MaxHours: number1(1)},
		"has no tree with a number":          {Orchard: bare, Visit: visit(bare, "2026-08-20")},
	} {
		if _, err := Build(in); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%v, want %q", err, say)
		}
	}
}

func TestTreesMissingFelledAndStaleResults(t *testing.T) {
	o := testOrchard(t, "")
	v := visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4), result("b1", 9, 9, 2, .05, 4))
	v.Settings = "of before"
	p := build(t, Input{Orchard: o, Visit: v})
	said := strings.Join(p.Notes, "\n")
	for _, want := range []string{
		"block b1 row 9 tree 9 has results but is no longer in orchard.toml",
		"15 of 16 trees have no number at this visit", "speaks for the other 1 only", "run rowlight assess again",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("it is not said: %s\n%s", want, said)
		}
	}
	if len(p.Unmeasured) != 15 {
		t.Errorf("%d unmeasured", len(p.Unmeasured))
	}
}

func TestFollowUpHasDates(t *testing.T) {
	o := testOrchard(t, "")
	from, _ := time.Parse(time.DateOnly, "2026-08-24")
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4)), From: from})
	if len(p.Rounds) != 2 || p.Rounds[0].From != "2026-10-23" || p.Rounds[1].From != "2027-02-20" { // 60 and 180 days on
		t.Errorf("%+v", p.Rounds)
	}
	if !strings.Contains(p.Trees[0].Cautions[0], "within an hour") || !strings.Contains(p.Trees[0].Cautions[0], "north and west") {
		t.Errorf("paint is not asked for, or the sun stands in the wrong quarter: %v", p.Trees[0].Cautions)
	}
	if s := p.Seasons[0].Say; !strings.Contains(s, "after its harvest and before its flowering; give harvest_ends") {
		t.Errorf("season %q: no date may be invented", s)
	}
}

// Trees marked just_pruned at one visit and photographed before the next cut teach
// their regrowth: ln .0706 / ln .1057 = 1.18 (trade 8.3's path at g = .18).
func TestRegrowthIsLearned(t *testing.T) {
	o := testOrchard(t, "")
	marks := marked(t, o, "b1,1,,just_pruned,2025-08-10,,\nb1,2,1,just_pruned,2025-08-10,,\nb1,2,1,just_pruned,2026-05-01,,\n")
	var first, second []orchard.TreeResult
	for n := 1; n <= 4; n++ {
		first = append(first, result("b1", 1, n, n, .1057, 4))
		second = append(second, result("b1", 1, n, n, .0706, 4))
	}
	// Cut again between: teaches nothing.
	first, second = append(first, result("b1", 2, 1, 5, .1057, 4)), append(second, result("b1", 2, 1, 5, .3, 4))
	in := Input{Orchard: o, Marks: marks, Visit: visit(o, "2026-08-20", second...), History: []*orchard.VisitResult{visit(o, "2025-08-20", first...)}}
	p := build(t, in)
	if math.Abs(p.Regrowth.Low-.18) > .001 || math.Abs(p.Regrowth.High-.18) > .001 || !strings.Contains(p.Regrowth.From, "4 of your own trees") {
		t.Errorf("%+v", p.Regrowth)
	}
	in.History = nil
	if p := build(t, in); p.Regrowth.Low != .18 || p.Regrowth.High != .25 || !strings.Contains(p.Regrowth.From, "default") {
		t.Errorf("without history: %+v", p.Regrowth)
	}
}

// Without a floor photo, what the sky overhead leads one to expect stands in; a floor
// photo goes first.
func TestSkyStandsInForTheFloor(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, .05, 4)
	r.Measurements[0].Quantity = orchard.ExpectedSunlitRef
	both := result("b1", 1, 2, 2, .10, 4)
	both.Measurements = append(both.Measurements, measured(orchard.ExpectedSunlitRef, .3, .01))
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r, both)})
	if len(p.Trees) != 2 || p.Trees[0].Light.From != "the sky overhead" || p.Trees[1].Light.From != "the floor" {
		t.Fatalf("%+v", p.Trees)
	}
	if v := p.Trees[1].Light.SunlitFraction.Value; v != .10 {
		t.Errorf("floor light %g", v)
	}
}

// The narrow alley's side is that of the photo its width is from.
func TestNarrowAlleyHasItsSide(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, .05, 4)
	r.Measurements = append(r.Measurements, measured(orchard.ClearWidthM, 1.5, .2), measured(orchard.DarkCoreFraction, .4, .1))
	r.Measurements[len(r.Measurements)-2].Photos = []string{"photos/x/alley-left.jpg"}
	v := visit(o, "2026-08-20", r)
	v.Photos = []orchard.Record{{Path: "photos/x/alley-left.jpg", AlleySide: "left"}}
	tree := build(t, Input{Orchard: o, Visit: v}).Trees[0]
	said := ""
	for _, p := range tree.Places {
		said += p.Say
	}
	if !strings.Contains(said, "left of the row as you walk from its tree 1: back by about 0.5 m") {
		t.Errorf("places say %q", said)
	}
	if tree.DarkCore == nil || tree.DarkCore.Value != .4 {
		t.Errorf("dark core %+v", tree.DarkCore)
	}
}

func TestOneBrightHoleIsTold(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, .25, 4)
	r.Measurements = append(r.Measurements, measured(orchard.DarkFloorShare, .7, .05))
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r)})
	if said := strings.Join(p.Maintenance[0].Cautions, " "); !strings.Contains(said, "70 % of its square metres are dark") {
		t.Errorf("cautions %q", said)
	}
}

func TestNeverIsSaid(t *testing.T) {
	o := testOrchard(t, "[plan]\nregrowth_low_fraction = 0.4\nregrowth_high_fraction = 0.5\n")
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4))})
	tree := p.Trees[0]
	if tree.Light.Seasons.Median != "never" || tree.Light.Paths[0].Reached {
		t.Errorf("%+v", tree.Light)
	}
	if said := strings.Join(tree.Cautions, " "); !strings.Contains(said, "The method must change") {
		t.Errorf("cautions %s", said)
	}
}

// The years ahead in one sentence; table 8.3: P0 .05 takes 4 to 7 years at g .18 to .25,
// .10 takes 2 to 3, .15 one (8.1: r .1516 is under the cap).
func TestYearsAheadAreSaid(t *testing.T) {
	o := testOrchard(t, "")
	p := build(t, Input{Orchard: o, MaxTrees: whole(1), Visit: visit(o, "2026-08-20",
		result("b1", 1, 1, 1, .05, 4), result("b1", 1, 2, 2, .10, 4), result("b1", 1, 3, 3, .15, 4), result("b1", 1, 4, 4, .15, 4))})
	want := "target in 1 year for 2 trees, 2 to 3 years for 1 tree, 4 to 6 years for 1 tree."
	if said := strings.Join(p.Notes, "\n"); !strings.Contains(said, want) {
		t.Errorf("notes %q, want %q", said, want)
	}
}

func TestNoSunIsABound(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, 0, 4)
	r.Measurements[0].Low95, r.Measurements[0].High95 = number1(0), number1(.02)
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r)})
	if l := p.Trees[0].Light; !l.Bound || p.Trees[0].ThisYear.Expect != nil || math.Abs(l.Thinning.Value-.5886) > .0001 { // trade 8.1 at .02
		t.Errorf("%+v", l)
	}
	if said := strings.Join(p.Trees[0].Cautions, " "); !strings.Contains(said, "at least 59 %") {
		t.Errorf("cautions %s", said)
	}
}

func TestJSONRoundTripAndItsWords(t *testing.T) {
	o := testOrchard(t, "[plan]\n[plan.hours_per_tree]\nlimb_removal = 1.5\n")
	from, _ := time.Parse(time.DateOnly, "2026-08-24")
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 5.6), result("b2", 1, 1, 2, .3, 4)),
		Marks: marked(t, o, "b1,2,2,too_young,,,\n"), MaxTrees: whole(3), MaxHours: number1(9), From: from, Version: "v"})
	var b bytes.Buffer
	if err := WriteJSON(&b, p); err != nil {
		t.Fatal(err)
	}
	var back Plan
	if err := json.Unmarshal(b.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	if back.Schema != "rowlight-plan/1" || back.Trees[0].ID != p.Trees[0].ID || !reflect.DeepEqual(back.Trees[0].Light.Seasons, p.Trees[0].Light.Seasons) {
		t.Errorf("came back as %+v", back)
	}
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	var keys map[string]any
	if err := json.Unmarshal(b.Bytes(), &keys); err != nil {
		t.Fatal(err)
	}
	checkKeys(t, string(doc), keys)
	for key, v := range keys {
		if v == nil {
			t.Errorf("%q is null: a list without entries is []", key)
		}
	}
}

// checkKeys asks that the package's text names every key.
func checkKeys(t *testing.T, doc string, v any) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		for key, in := range v {
			if !strings.Contains(doc, key) {
				t.Errorf("the schema's text does not name %q", key)
			}
			checkKeys(t, doc, in)
		}
	case []any:
		for _, in := range v {
			checkKeys(t, doc, in)
		}
	}
}

func TestCSVIsSafeAndWhole(t *testing.T) {
	o := testOrchard(t, "")
	p := build(t, Input{Orchard: o, MaxTrees: whole(1), Marks: marked(t, o, `b1,3,1,power_line,,,"=HYPERLINK(""x"")"`+"\n"),
		Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 5.6), result("b1", 1, 2, 2, .05, 4), result("b2", 1, 1, 3, .3, 4))})
	p.Apart[0].Reasons = []string{"=1+1"} // the worst a note could become
	var b bytes.Buffer
	if err := WriteCSV(&b, p); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "\r\n") {
		t.Error("lines do not end in CRLF (RFC 4180)")
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var status []string
	for _, r := range rows[1:] {
		status = append(status, r[0])
		for i, cell := range r {
			if cell != "" && strings.ContainsRune("=+-@", rune(cell[0])) {
				t.Errorf("column %s would be a formula: %q", rows[0][i], cell)
			}
		}
	}
	if want := []string{"do", "left", "maintenance", "apart"}; !slices.Equal(status, want) {
		t.Errorf("status %v, want %v", status, want)
	}
}
