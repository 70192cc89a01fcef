package plan

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"rowlight/internal/orchard"
)

// Whatever was measured, marked and limited: every tree of the orchard stands in
// exactly one place, limits hold, shares are shares, and the plan can be written.
func TestPlanKeepsItsPromises(t *testing.T) {
	o := testOrchard(t, "[plan]\n[plan.hours_per_tree]\nlimb_removal = 1.5\nframe = 2\ncolumns = 3\nhedging = 0.2\nheading_back = 1\nrows_out = 1\n")
	rapid.Check(t, func(t *rapid.T) {
		var trees []orchard.TreeResult
		for _, id := range o.Trees() {
			if rapid.Bool().Draw(t, "measured") {
				trees = append(trees, drawnTree(t, id, len(trees)+1))
			}
		}
		in := Input{Orchard: o, Visit: visit(o, "2026-08-20", trees...), Marks: drawnMarks(t, o)}
		if rapid.Bool().Draw(t, "limited") {
			in.MaxTrees = whole(rapid.IntRange(1, 20).Draw(t, "trees"))
			in.MaxHours = number1(rapid.Float64Range(4, 60).Draw(t, "hours"))
		}
		p, err := Build(in)
		if err != nil {
			if len(trees) == 0 {
				return // nothing to plan from is said so
			}
			t.Fatal(err)
		}
		checkPlaces(t, o, p)
		checkShares(t, p)
		if in.MaxTrees != nil && (len(p.Trees) > *in.MaxTrees || p.Hours != nil && *p.Hours > *in.MaxHours+0.005) {
			t.Fatalf("%d trees, %v hours under %d and %g", len(p.Trees), p.Hours, *in.MaxTrees, *in.MaxHours)
		}
		if err := WriteCSV(&bytes.Buffer{}, p); err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(p); err != nil {
			t.Fatal(err)
		}
	})
}

// drawnTree is a tree of which anything may be measured.
func drawnTree(t *rapid.T, id orchard.TreeID, rank int) orchard.TreeResult {
	r := orchard.TreeResult{ID: id, Priority: &orchard.Priority{Rank: rank, RankLow: rank, RankHigh: rank}}
	for _, k := range []struct {
		q    orchard.Quantity
		most float64
	}{
		{orchard.SunlitFractionRef, 1}, {orchard.HeightM, 9}, {orchard.CrownBaseM, 4}, {orchard.CrownWidthM, 8}, {orchard.ShoulderM, 2},
		{orchard.DensityFraction, 1}, {orchard.LargestGapM, 3}, {orchard.ClearWidthM, 5},
	} {
		q, most := k.q, k.most
		if !rapid.Bool().Draw(t, string(q)) {
			continue
		}
		m := measured(q, rapid.Float64Range(0, most).Draw(t, "value"), 0)
		low, high := math.Max(*m.Value-rapid.Float64Range(0, most/4).Draw(t, "half"), 0), math.Min(*m.Value+most/5, most)
		m.Low95, m.High95 = &low, &high
		r.Measurements = append(r.Measurements, m)
	}
	top := rapid.Float64Range(0, 9).Draw(t, "profile")
	for z := 0.5; z < top; z += 0.5 {
		m := measured(orchard.WidthAtHeightM, rapid.Float64Range(0, 8).Draw(t, "width"), .1)
		m.AtM = number1(z)
		r.Measurements = append(r.Measurements, m)
	}
	return r
}

func drawnMarks(t *rapid.T, o *orchard.Orchard) orchard.Marks {
	var marks orchard.Marks
	for range rapid.IntRange(0, 6).Draw(t, "marks") {
		marks = append(marks, orchard.Mark{
			Block: rapid.SampledFrom([]string{"b1", "b2"}).Draw(t, "block"), Row: rapid.IntRange(0, 3).Draw(t, "row"),
			Tree: rapid.IntRange(0, 4).Draw(t, "tree"), Kind: rapid.SampledFrom(orchard.MarkKinds()).Draw(t, "kind"),
		})
	}
	return marks
}

func checkPlaces(t *rapid.T, o *orchard.Orchard, p *Plan) {
	seen := map[orchard.TreeID]int{}
	for _, list := range [][]Tree{p.Trees, p.Left, p.Maintenance} {
		for _, tree := range list {
			seen[tree.ID]++
		}
	}
	for _, a := range p.Apart {
		seen[a.ID]++
	}
	for _, id := range p.Unmeasured {
		seen[id]++
	}
	for _, id := range o.Trees() {
		if seen[id] != 1 {
			t.Fatalf("%s stands in %d places", id, seen[id])
		}
	}
	for i, tree := range p.Trees {
		if tree.Order != i+1 {
			t.Fatalf("%s is number %d in place %d", tree.ID, tree.Order, i+1)
		}
	}
}

func checkShares(t *rapid.T, p *Plan) {
	for _, list := range [][]Tree{p.Trees, p.Left} {
		for _, tree := range list {
			y := tree.ThisYear
			if !(y.Low >= p.Year.Low && y.Low <= y.High && y.High <= p.Year.High) {
				t.Fatalf("%s: this year %+v, limits %+v", tree.ID, y, p.Year)
			}
			for _, place := range tree.Places {
				if place.Outline != nil && !(*place.Outline >= 0 && *place.Outline <= 1) || place.SizeM < 0 || place.HighM < place.LowM {
					t.Fatalf("%s: place %+v", tree.ID, place)
				}
			}
		}
	}
	for _, tree := range p.Maintenance {
		if tree.ThisYear.High != 0 {
			t.Fatalf("%s needs maintenance only and %+v", tree.ID, tree.ThisYear)
		}
	}
}
