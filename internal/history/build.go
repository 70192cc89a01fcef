package history

import (
	"fmt"
	"slices"
	"time"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// Schema is what history.json says of itself.
const Schema = "rowlight-history/1"

// History is the body of history.json.
type History struct {
	Schema   string   `json:"schema"`
	Version  string   `json:"version"`
	Orchard  string   `json:"orchard"`
	Target   float64  `json:"target_sunlit_fraction"`
	Regrowth Regrowth `json:"regrowth"`
	Visits   []Visit  `json:"visits"`
	Blocks   []Line   `json:"blocks"`
	Trees    []Line   `json:"trees"`
	Notes    []string `json:"notes,omitempty"`
}

// Regrowth is a year's, as the dates were reckoned with.
type Regrowth struct {
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Learned bool    `json:"learned"`
	From    string  `json:"from"`
}

// Visit is one visit with its day; Day is empty where its name begins with none.
type Visit struct {
	Name string `json:"name"`
	Day  string `json:"day,omitempty"`
	day  time.Time
}

// Value is a number with its 95 % interval.
type Value struct {
	Value  float64 `json:"value"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

// Point is a tree or block at one visit.
type Point struct {
	Visit  string `json:"visit"`
	Sunlit *Value `json:"sunlit_fraction_zenith20,omitempty"`
	Height *Value `json:"height_m,omitempty"`
	Clear  *Value `json:"clear_width_m,omitempty"`
	// Cut is set where a cut is marked between the visit before and this one, or
	// the light rose beyond chance.
	Cut bool `json:"cut_before,omitempty"`
	day time.Time
}

// Line is a tree's or a block's course.
type Line struct {
	Name   string          `json:"name"`
	Block  string          `json:"block"`
	ID     *orchard.TreeID `json:"id,omitempty"`
	Points []Point         `json:"points"`
	Under  *Under          `json:"under,omitempty"`
}

// Under is when the light falls under the target.
type Under struct {
	Say  string `json:"say"`
	From string `json:"from,omitempty"` // days; empty for now or never
	To   string `json:"to,omitempty"`
}

// Input is what a history is made of.
type Input struct {
	Orchard *orchard.Orchard
	Version string
	Visits  []*orchard.VisitResult
	Marks   orchard.Marks
}

const (
	daysPerYear = 365.25
	dayForm     = "2006-01-02"
	// leastYears between two readings for regrowth: half a year, less is one flush
	// (ours, as the plan's).
	leastYears = 0.5
	// seed of the draws behind the dates: the same in every run.
	seed = 1
)

// Build strings the visits together.
func Build(in Input) *History {
	visits := slices.Clone(in.Visits)
	slices.SortStableFunc(visits, func(a, b *orchard.VisitResult) int {
		if d := dayOf(a).Compare(dayOf(b)); d != 0 {
			return d
		}
		return slices.Compare([]byte(a.Visit), []byte(b.Visit))
	})
	h := &History{Schema: Schema, Version: in.Version, Orchard: in.Orchard.Name, Target: in.Orchard.Crop.Targets.FloorSunlitFraction,
		Visits: []Visit{}, Blocks: []Line{}, Trees: []Line{}}
	for _, v := range visits {
		out := Visit{Name: v.Visit, day: dayOf(v)}
		if !out.day.IsZero() {
			out.Day = out.day.Format(dayForm)
		} else {
			h.Notes = append(h.Notes, fmt.Sprintf("Visit %s is named by no day and has no dated photo: it cannot be set in time.", v.Visit))
		}
		h.Visits = append(h.Visits, out)
	}
	for _, id := range in.Orchard.Trees() {
		if l, ok := treeLine(id, visits, in.Marks); ok {
			h.Trees = append(h.Trees, l)
		}
	}
	growth := h.learn(in.Orchard)
	for i := range h.Trees {
		h.Trees[i].Under = h.under(&h.Trees[i], growth)
	}
	for _, b := range in.Orchard.Blocks {
		if l, ok := h.blockLine(&b); ok {
			l.Under = h.under(&l, growth)
			h.Blocks = append(h.Blocks, l)
		}
	}
	return h
}

// dayOf is a visit's day: its name's, else its first photo's.
func dayOf(v *orchard.VisitResult) time.Time {
	if d := orchard.VisitDay(v.Visit); !d.IsZero() {
		return d
	}
	var first time.Time
	for _, p := range v.Photos {
		if p.TakenAt != nil && (first.IsZero() || p.TakenAt.Before(first)) {
			first = *p.TakenAt
		}
	}
	return first
}

func valueOf(m *orchard.Measurement) *Value {
	if m == nil || m.Value == nil || m.Low95 == nil || m.High95 == nil {
		return nil
	}
	return &Value{*m.Value, *m.Low95, *m.High95}
}

// treeLine is a tree's course; ok is false where no visit has anything of it.
func treeLine(id orchard.TreeID, visits []*orchard.VisitResult, marks orchard.Marks) (Line, bool) {
	l := Line{Name: id.String(), Block: id.Block, ID: &id, Points: []Point{}}
	for _, v := range visits {
		for i := range v.Trees {
			t := &v.Trees[i]
			if t.ID != id {
				continue
			}
			p := Point{Visit: v.Visit, day: dayOf(v), Sunlit: valueOf(t.Find(orchard.SunlitFractionRef)),
				Height: valueOf(t.Find(orchard.HeightM)), Clear: valueOf(t.Find(orchard.ClearWidthM))}
			if n := len(l.Points); n > 0 {
				last := l.Points[n-1]
				p.Cut = rose(last.Sunlit, p.Sunlit) || markedCut(marks, id, last.day, p.day)
			}
			l.Points = append(l.Points, p)
		}
	}
	return l, len(l.Points) > 0
}

// rose tells whether the light rose beyond chance: leaf came off.
func rose(a, b *Value) bool {
	if a == nil || b == nil {
		return false
	}
	at := func(v *Value) metrics.Estimate {
		return metrics.Estimate{Value: v.Value, Low95: v.Low95, High95: v.High95}
	}
	return metrics.NewChange(at(a), at(b), 0).Diff.Low95 > 0
}

// markedCut tells whether marks.csv has a cut after one day and up to another.
func markedCut(marks orchard.Marks, id orchard.TreeID, from, to time.Time) bool {
	return slices.ContainsFunc(marks.Of(id, time.Time{}), func(m orchard.Mark) bool {
		return m.Kind == orchard.JustPruned && m.Since != nil && m.Since.After(from) && !m.Since.After(to)
	})
}
