package plan

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
	"rowlight/metrics"
)

// FuzzBuild: whatever stands in a results.json that is read at all, a plan comes of
// it or words why not: shares are shares, every tree stands in one place, and it can
// be written and printed.
func FuzzBuild(f *testing.F) {
	o := testOrchard(f, "[plan]\n[plan.hours_per_tree]\nlimb_removal = 1.5\n")
	var b bytes.Buffer
	if err := report.WriteJSON(&b, visit(o, "2026-08-20", result("b1", 1, 1, 1, 0.03, 7), result("b2", 1, 2, 2, 0.3, 3))); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte(strings.ReplaceAll(b.String(), "0.03", "1e300")))
	f.Add([]byte(strings.ReplaceAll(b.String(), `"value": 7`, `"value": -7e307`)))
	f.Fuzz(func(t *testing.T, data []byte) {
		res, err := report.ReadJSON(bytes.NewReader(data))
		if err != nil {
			return
		}
		p, err := Build(Input{Orchard: o, Visit: res, History: []*orchard.VisitResult{res}})
		if err != nil {
			if err.Error() == "" {
				t.Error("no plan and no word why")
			}
			return
		}
		places := map[orchard.TreeID]int{}
		for _, list := range [][]Tree{p.Trees, p.Left, p.Maintenance} {
			for _, tree := range list {
				places[tree.ID]++
				if y := tree.ThisYear; !(y.Low >= 0 && y.Low <= y.High && y.High <= 1) {
					t.Errorf("%s is to lose %+v", tree.ID, y)
				}
			}
		}
		for _, a := range p.Apart {
			places[a.ID]++
		}
		for _, id := range p.Unmeasured {
			places[id]++
		}
		for _, id := range o.Trees() {
			if places[id] != 1 {
				t.Errorf("%s stands in %d places", id, places[id])
			}
		}
		var out bytes.Buffer
		if err := WriteJSON(&out, p); err != nil || !json.Valid(out.Bytes()) {
			t.Errorf("plan.json: %v", err)
		}
		if err := WriteCSV(&out, p); err != nil {
			t.Error(err)
		}
		if err := WriteText(&out, p, 80); err != nil {
			t.Error(err)
		}
	})
}

// FuzzComparison: no bytes of a compare-*.json panic, and what a comparison teaches
// is a number or nothing.
func FuzzComparison(f *testing.F) {
	f.Add([]byte(`{"schema":"rowlight-compare/1","after":"v","trees":[{"id":{"block":"b1","row":1,"tree":1},"verdict":"cut","leaf_removed_by_side":{"value":0.2,"low95":0.1,"high95":0.3},"changes":[{"quantity":"sunlit_fraction_zenith20","before":{"value":0.05},"after":{"value":0.2}}]}]}`))
	f.Add([]byte(`{"schema":"rowlight-compare/1","trees":[{"verdict":"cut","leaf_removed_by_side":{"value":-1,"low95":1e308},"changes":[{"quantity":"sunlit_fraction_zenith20","before":{"value":1e308},"after":{"value":-0}}]}]}`))
	f.Add([]byte(`{`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, ok := parseComparison(data)
		if !ok {
			return
		}
		var pairs []metrics.SitePair
		for i := range c.Trees {
			if p, ok := c.pair(i); ok {
				pairs = append(pairs, p, p, p) // three trees teach at least
			}
		}
		q, ok := metrics.LearnSite(pairs)
		for _, v := range []float64{q.Value, q.Low95, q.High95} {
			if ok && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Errorf("%v teach %+v", pairs, q)
			}
		}
	})
}
