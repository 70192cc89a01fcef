package history

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"gonum.org/v1/gonum/stat"

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

// learn takes regrowth from the trees' own readings with no cut between, else the
// orchard file's range.
func (h *History) learn(o *orchard.Orchard) metrics.Growth {
	var pairs []metrics.RegrowthPair
	for _, l := range h.Trees {
		pairs = append(pairs, regrowthPairs(l.Points)...)
	}
	if g, ok := metrics.LearnRegrowth(pairs); ok && g.High95 > 0 {
		h.Regrowth = Regrowth{g.Low95, g.High95, true, fmt.Sprintf("%d pairs of readings of your own trees, half a year or more apart with no cut between", len(pairs))}
		return metrics.Growth{Learned: &g}
	}
	h.Regrowth = Regrowth{o.Plan.RegrowthLow, o.Plan.RegrowthHigh, false, "the range in " + orchard.FileName + ", as too few trees were read twice without a cut between (three at least, half a year apart)"}
	return metrics.Growth{Low: o.Plan.RegrowthLow, High: o.Plan.RegrowthHigh}
}

// regrowthPairs pairs each reading with the last one before the next cut.
func regrowthPairs(points []Point) []metrics.RegrowthPair {
	var out []metrics.RegrowthPair
	for i := 0; i < len(points); {
		last := i
		for last+1 < len(points) && !points[last+1].Cut {
			last++
		}
		a, b := firstLit(points[i:last+1]), lastLit(points[i:last+1])
		if a != nil && b != nil && a != b && !a.day.IsZero() && !b.day.IsZero() {
			if years := b.day.Sub(a.day).Hours() / 24 / daysPerYear; years >= leastYears {
				out = append(out, metrics.RegrowthPair{AfterCut: a.Sunlit.Value, NextBefore: b.Sunlit.Value, Years: years})
			}
		}
		i = last + 1
	}
	return out
}

func firstLit(ps []Point) *Point {
	for i := range ps {
		if ps[i].Sunlit != nil {
			return &ps[i]
		}
	}
	return nil
}

func lastLit(ps []Point) *Point {
	for i := len(ps) - 1; i >= 0; i-- {
		if ps[i].Sunlit != nil {
			return &ps[i]
		}
	}
	return nil
}

// under says when a line's light falls under the target, from its last reading.
func (h *History) under(l *Line, g metrics.Growth) *Under {
	p := lastLit(l.Points)
	if p == nil || p.day.IsZero() {
		return nil
	}
	s := p.Sunlit
	u := metrics.FallsUnder(metrics.Estimate{Value: s.Value, Low95: s.Low95, High95: s.High95}, h.Target, g, seed)
	day := func(years float64) string {
		return p.day.AddDate(0, 0, int(math.Round(years*daysPerYear))).Format(dayForm)
	}
	switch {
	case u.Now > 0.975:
		return &Under{Say: fmt.Sprintf("under the target of %.0f %% since %s or before", 100*h.Target, p.Visit)}
	case math.IsNaN(u.Years):
		return &Under{Say: "not under the target in sight: the canopy does not thicken"}
	case u.Now > 0.5:
		return &Under{Say: fmt.Sprintf("probably under the target at %s already; with luck not before %s", p.Visit, farDay(u.High95, day)), To: day(math.Min(u.High95, farYears))}
	case math.IsInf(u.High95, 1) || u.High95 > farYears:
		return &Under{Say: fmt.Sprintf("under the target again from about %s (%s at the earliest, no latest day can be given)", day(math.Min(u.Years, farYears)), day(u.Low95)), From: day(u.Low95)}
	}
	return &Under{Say: fmt.Sprintf("under the target again about %s (95 %%: %s to %s)", day(u.Years), day(u.Low95), day(u.High95)), From: day(u.Low95), To: day(u.High95)}
}

// farYears: further ahead than a budget looks no day is named (12 seasons, as the
// plan's).
const farYears = metrics.MostSeasons

func farDay(years float64, day func(float64) string) string {
	if years > farYears {
		return "years from now"
	}
	return day(years)
}

// blockLine is the mean of a block's trees at each visit: shares on the logit, with
// Student's interval over trees.
func (h *History) blockLine(b *orchard.Block) (Line, bool) {
	l := Line{Name: b.Name, Block: b.Key, Points: []Point{}}
	if l.Name == "" {
		l.Name = b.Key
	}
	for _, v := range h.Visits {
		var lit, height, clear []*Value
		cuts := 0
		for _, t := range h.Trees {
			if t.Block != b.Key {
				continue
			}
			for _, p := range t.Points {
				if p.Visit == v.Name {
					lit, height, clear = append(lit, p.Sunlit), append(height, p.Height), append(clear, p.Clear)
					if p.Cut {
						cuts++
					}
				}
			}
		}
		p := Point{Visit: v.Name, day: v.day, Sunlit: meanOf(lit, true), Height: meanOf(height, false), Clear: meanOf(clear, false), Cut: 2*cuts > len(lit)}
		if p.Sunlit != nil || p.Height != nil || p.Clear != nil {
			l.Points = append(l.Points, p)
		}
	}
	return l, len(l.Points) > 0
}

// meanOf is the mean over trees; nil for fewer than two.
func meanOf(vs []*Value, share bool) *Value {
	to, from := func(v float64) float64 { return v }, func(v float64) float64 { return v }
	if share {
		const least = 0.005 // half a percent stands in for none: the smallest share a photo shows
		to = func(p float64) float64 {
			p = math.Min(math.Max(p, least), 1-least)
			return math.Log(p / (1 - p))
		}
		from = func(l float64) float64 { return 1 / (1 + math.Exp(-l)) }
	}
	var y []float64
	for _, v := range vs {
		if v != nil {
			y = append(y, to(v.Value))
		}
	}
	sort.Float64s(y)
	if len(y) < 2 {
		return nil
	}
	mean, sd := stat.MeanStdDev(y, nil)
	half := metrics.StudentT95(len(y)-1) * sd / math.Sqrt(float64(len(y)))
	return &Value{from(mean), from(mean - half), from(mean + half)}
}
