package history

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

const file = `name = "Test"
[place]
latitude_deg = -26.0
longitude_deg = 152.0
time_zone = "UTC"
[crop]
name = "avocado"
[[blocks]]
key = "b1"
name = "Gate"
habit = "vigorous"
rows = 1
trees_per_row = 5
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
`

func testOrchard(t *testing.T) *orchard.Orchard {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(dir+"/"+orchard.FileName, []byte(file), 0o644); err != nil {
		t.Fatal(err)
	}
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// visit gives each tree a sunlit share, known to a tenth of itself; 0 leaves it out.
func visit(name string, shares ...float64) *orchard.VisitResult {
	v := &orchard.VisitResult{Visit: name}
	for i, p := range shares {
		if p == 0 {
			continue
		}
		low, high := 0.9*p, 1.1*p
		v.Trees = append(v.Trees, orchard.TreeResult{ID: orchard.TreeID{Block: "b1", Row: 1, Tree: i + 1},
			Measurements: []orchard.Measurement{{Quantity: orchard.SunlitFractionRef, Unit: "1", Value: &p, Low95: &low, High95: &high}}})
	}
	return v
}

// grown is what a share becomes after years at a growth: ln P (1+g)^years.
func grown(p, g, years float64) float64 { return math.Exp(math.Log(p) * math.Pow(1+g, years)) }

// Five trees cut to shares about .35 in August 2023, read again each August, their
// leaf growing by 20 % a year: that growth is learned; and from the last reading the
// block's light comes to .20 when its mean leaf has: ln(ln .2/ln P)/ln 1.2 years.
func TestHistoryOfACutAndItsRegrowth(t *testing.T) {
	const g = 0.20
	after := []float64{.30, .34, .38, .42, .36}
	before, next, last := make([]float64, 5), make([]float64, 5), make([]float64, 5)
	for i, p := range after {
		before[i] = p / 4
		next[i], last[i] = grown(p, g, 366/daysPerYear), grown(p, g, (366+365)/daysPerYear)
	}
	last[0] = 0 // one tree unread at the last visit
	h := Build(Input{Orchard: testOrchard(t), Visits: []*orchard.VisitResult{
		visit("2025-08-20", last...), visit("2023-08-01", before...), visit("2023-08-20", after...), visit("2024-08-20", next...),
	}})
	if !h.Regrowth.Learned || math.Abs(h.Regrowth.Low-g) > 1e-3 || math.Abs(h.Regrowth.High-g) > 1e-3 {
		t.Errorf("regrowth %+v, want %.2f learned", h.Regrowth, g)
	}
	if len(h.Visits) != 4 || h.Visits[0].Name != "2023-08-01" {
		t.Errorf("visits %+v", h.Visits)
	}
	tree := h.Trees[3]
	if !tree.Points[1].Cut || tree.Points[2].Cut {
		t.Errorf("the cut is not where it was: %+v", tree.Points)
	}
	years := math.Log(math.Log(.2)/math.Log(last[3])) / math.Log(1+g)
	want := time.Date(2025, 8, 20, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(math.Round(years*daysPerYear))).Format(dayForm)
	if u := tree.Under; u == nil || u.From >= want || u.To <= want {
		t.Errorf("tree 4 under target %+v, want an interval about %s", u, want)
	}
	if u := h.Blocks[0].Under; u == nil || u.Say == "" {
		t.Errorf("block: %+v", u)
	}
	if p := os.Getenv("HISTORY_PAGE"); p != "" { // for a look at the page
		var b bytes.Buffer
		if err := WriteHTML(&b, h, time.Time{}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestHistoryOfOneVisitTakesTheDefaultGrowth(t *testing.T) {
	h := Build(Input{Orchard: testOrchard(t), Visits: []*orchard.VisitResult{visit("2025-08-20", .05, .3), visit("no day", .1)}})
	if h.Regrowth.Learned || h.Regrowth.Low != 0.18 || h.Regrowth.High != 0.25 {
		t.Errorf("%+v", h.Regrowth)
	}
	if u := h.Trees[0].Under; u == nil || !strings.HasPrefix(u.Say, "under the target of 20 % since") {
		t.Errorf("a dark floor: %+v", u)
	}
	if len(h.Notes) != 1 {
		t.Errorf("a visit without a day is not said: %v", h.Notes)
	}
	var b bytes.Buffer
	if ok, err := WriteLines(&b, h, "b1-r01-t02"); !ok || err != nil || !strings.Contains(b.String(), "30 % (27-33)") {
		t.Errorf("%v %v %s", ok, err, b.String())
	}
	if ok, _ := WriteLines(&b, h, "b9"); ok {
		t.Error("a block that is not there was shown")
	}
	if err := WriteHTML(&b, h, time.Time{}); err != nil || strings.Contains(b.String(), "NaN") {
		t.Errorf("page: %v", err)
	}
	if err := WriteJSON(&b, Build(Input{Orchard: testOrchard(t)})); err != nil {
		t.Error(fmt.Errorf("an empty history: %w", err))
	}
}
