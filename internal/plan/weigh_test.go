package plan

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// A photo that says 4 % under a tree whose block makes it 6 %: the plan rests on the
// 6 % and its interval, and still says the 4 %. By hand, target 20 %:
// 1 - ln 0.20/ln 0.06 = 1 - 1.6094/2.8134 = 0.4279 of the leaf, at 3 and 11 % 0.5410
// and 0.2709, and (0.20-0.06)/0.94 = 0.1489 of the sky.
func TestThePlanRestsOnTheWeighedFloor(t *testing.T) {
	o := testOrchard(t, "")
	r := result("b1", 1, 1, 1, 0.04, 4)
	r.Priority.SunlitWeighed = &orchard.Weighed{Value: 0.06, Low95: 0.03, High95: 0.11}
	p := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r)})
	l := p.Trees[0].Light
	for what, d := range map[string]float64{
		"measured": l.SunlitFraction.Value - 0.04, "weighed": l.Weighed.Value - 0.06,
		"thinning": l.Thinning.Value - 0.4279, "its low": l.Thinning.Low95 - 0.2709, "its high": l.Thinning.High95 - 0.5410,
		"window": l.Window.Value - 0.1489, "path's start": l.Paths[0].Years[0].Before - 0.06,
	} {
		if math.Abs(d) > 1e-4 {
			t.Errorf("%s is off by %g", what, d)
		}
	}
	var said bool
	for _, c := range p.Trees[0].Options {
		said = said || strings.Contains(strings.Join(c.Reasons, " "), "floor 4 % sunlit (with its block's trees 6 %), target 20 %")
	}
	if !said {
		t.Errorf("no reason says both: %+v", p.Trees[0].Options)
	}
	rows := csvRows(t, p)
	for column, want := range map[string]string{
		"sunlit_fraction_zenith20": "0.04", "sunlit_fraction_zenith20_weighed": "0.06",
		"sunlit_fraction_zenith20_weighed_low95": "0.03", "sunlit_fraction_zenith20_weighed_high95": "0.11", "thinning_leaf_fraction": "0.4279",
	} {
		if got := rows[column]; got != want {
			t.Errorf("plan.csv: %s is %q, want %q", column, got, want)
		}
	}
}

// csvRows is the first tree's row of plan.csv by column.
func csvRows(t *testing.T, p *Plan) map[string]string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCSV(&b, p); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for i, head := range rows[0] {
		out[head] = rows[1][i]
	}
	return out
}

// No sun under the tree is a bound, whatever the block says; its trees may only lower
// what is surely needed. At 2 % of sun at most the need is at least
// 1 - ln 0.20/ln 0.02 = 0.5886, at 5 % 0.4628 (by hand).
func TestNoSunStaysABound(t *testing.T) {
	o := testOrchard(t, "")
	for high, want := range map[float64]float64{0.01: 0.5886, 0.05: 0.4628} {
		r := result("b1", 1, 1, 1, 0, 4)
		zero, most := 0.0, 0.02
		m := r.Find(orchard.SunlitFractionRef)
		m.Low95, m.High95 = &zero, &most
		r.Priority.SunlitWeighed = &orchard.Weighed{Value: high / 2, Low95: high / 4, High95: high}
		l := build(t, Input{Orchard: o, Visit: visit(o, "2026-08-20", r)}).Trees[0].Light
		if !l.Bound || l.Weighed != nil || math.Abs(l.Thinning.Value-want) > 1e-4 {
			t.Errorf("block's upper end %g: bound %v, weighed %v, at least %.4f, want %.4f", high, l.Bound, l.Weighed, l.Thinning.Value, want)
		}
	}
}
