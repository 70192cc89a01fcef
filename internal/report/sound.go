package report

import (
	"cmp"
	"math"
	"slices"

	"rowlight/internal/orchard"
)

// notANumber stands where a value is not finite: a fault of ours that must
// neither stop the other trees' report nor be printed as a number.
const notANumber = "the calculation gave no finite number: a fault in Rowlight, please report it with the photos"

// Schema is what results.json says of itself; see the package's text.
const Schema = "rowlight-results/1"

// sound returns a copy of a result that every writer can rely on: the schema
// set, all numbers finite, trees by rank with the unranked last in walking
// order, photos by path. The slices' elements it changes are its own.
func sound(res *orchard.VisitResult) *orchard.VisitResult {
	out := *res
	out.Schema = Schema
	out.Trees = slices.Clone(res.Trees)
	for i := range out.Trees {
		soundTree(&out.Trees[i])
	}
	slices.SortStableFunc(out.Trees, byRank)
	out.Photos = slices.Clone(res.Photos)
	for i := range out.Photos {
		p := &out.Photos[i]
		p.Measurements = soundMeasurements(p.Measurements)
		p.LatDeg, p.LonDeg = soundPlace(p.LatDeg, p.LonDeg)
	}
	out.Pairs = slices.Clone(res.Pairs)
	for i := range out.Pairs {
		out.Pairs[i].Measurements = soundMeasurements(out.Pairs[i].Measurements)
	}
	slices.SortStableFunc(out.Photos, func(a, b orchard.Record) int { return cmp.Compare(a.Path, b.Path) })
	return &out
}

func soundTree(t *orchard.TreeResult) {
	t.Measurements = soundMeasurements(t.Measurements)
	t.LatDeg, t.LonDeg = soundPlace(t.LatDeg, t.LonDeg)
	if t.Priority != nil && !soundPriority(t.Priority) {
		t.Priority, t.Unranked = nil, notANumber
	}
}

func soundPriority(p *orchard.Priority) bool {
	for _, part := range p.Parts {
		if !finite(part.Points, part.Weight) {
			return false
		}
	}
	return finite(p.Score, p.Low95, p.High95)
}

func soundMeasurements(ms []orchard.Measurement) []orchard.Measurement {
	ms = slices.Clone(ms)
	for i := range ms {
		m := &ms[i]
		if m.AtM != nil && !finite(*m.AtM) {
			m.AtM = nil
			m.Value = nil
		}
		if m.Value != nil && m.Low95 != nil && m.High95 != nil && finite(*m.Value, *m.Low95, *m.High95) {
			continue
		}
		if m.Absent == "" {
			m.Absent = notANumber
		}
		m.Value, m.Low95, m.High95 = nil, nil, nil
	}
	return ms
}

// soundPlace drops a place that is no place on Earth.
func soundPlace(lat, lon *float64) (*float64, *float64) {
	if lat == nil || lon == nil || !finite(*lat, *lon) || math.Abs(*lat) > 90 || math.Abs(*lon) > 180 {
		return nil, nil
	}
	return lat, lon
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func byRank(a, b orchard.TreeResult) int {
	switch {
	case a.Priority != nil && b.Priority != nil:
		return cmp.Or(cmp.Compare(a.Priority.Rank, b.Priority.Rank), walk(a.ID, b.ID))
	case a.Priority != nil:
		return -1
	case b.Priority != nil:
		return 1
	}
	return walk(a.ID, b.ID)
}

// walk orders trees as they are walked past: block, row, tree.
func walk(a, b orchard.TreeID) int {
	return cmp.Or(cmp.Compare(a.Block, b.Block), cmp.Compare(a.Row, b.Row), cmp.Compare(a.Tree, b.Tree))
}
