package report

import (
	"fmt"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// kindView holds what one kind of shot gave of a tree.
type kindView struct {
	Title    string
	Rows     []numberRow
	Source   source // of all rows that do not say their own
	Profiles []profileView
	Figures  []figure
}

type numberRow struct {
	Label, Value, Range string
	Absent              string
	Source              source // where it is not its kind's
	Flags               []string
}

// source is what numbers were read from.
type source struct {
	Method string // empty for a photo, which is the rule
	From   []photoRef
}

// None tells that there is nothing to say.
func (s source) None() bool { return s.Method == "" && len(s.From) == 0 }

// photoRef links a number to the overlay it was read from.
type photoRef struct{ Short, ID string }

var kindTitles = []struct {
	Kind  orchard.Kind
	Title string
}{
	{orchard.Floor, "Light on the floor"},
	{orchard.Side, "The tree from its side"},
	{orchard.Alley, "The alley"},
	{orchard.AlleyFloor, "The alley's floor"},
	{orchard.Up, "The sky from below"},
	{"", "Other"},
}

func (v viewer) kinds(t *orchard.TreeResult, short map[string]string) []kindView {
	cols := columns([][]orchard.Measurement{t.Measurements})
	figures := v.figures(t, short)
	var out []kindView
	for _, k := range kindTitles {
		view := kindView{Title: k.Title, Profiles: profileViews(t, k.Kind), Figures: figures[k.Kind]}
		for _, c := range cols {
			if m := t.Find(c.Q); m != nil && c.Kind == k.Kind {
				view.Rows = append(view.Rows, newNumberRow(t.ID, c, *m, short))
			}
		}
		view.Source = sayOnce(view.Rows)
		if len(view.Rows)+len(view.Profiles)+len(view.Figures) > 0 {
			out = append(out, view)
		}
	}
	return out
}

// sayOnce takes the source that most rows share out of them, and returns it: a thousand
// trees with a column of it would make the page half as large again.
func sayOnce(rows []numberRow) source {
	same := func(a, b source) bool { return a.Method == b.Method && slices.Equal(a.From, b.From) }
	var shared source
	most := 0
	for _, r := range rows {
		n := 0
		for _, other := range rows {
			if same(r.Source, other.Source) {
				n++
			}
		}
		if n > most && !r.Source.None() {
			shared, most = r.Source, n
		}
	}
	for i := range rows {
		if same(rows[i].Source, shared) {
			rows[i].Source = source{}
		}
	}
	return shared
}

func newNumberRow(id orchard.TreeID, c quantity, m orchard.Measurement, short map[string]string) numberRow {
	r := numberRow{Label: c.Label, Absent: m.Absent, Flags: m.Flags}
	if m.Method != "photo" {
		r.Source.Method = m.Method
	}
	for _, path := range m.Photos {
		ref := photoRef{Short: short[path]}
		if ref.Short == "" {
			ref.Short = base(path)
		} else {
			ref.ID = figureID(id, ref.Short)
		}
		r.Source.From = append(r.Source.From, ref)
	}
	if m.Value != nil {
		s := show(m, c.Form)
		r.Value, r.Range, r.Absent = s.Short(), s.Interval, ""
	}
	return r
}

// profileView draws a profile as bars, one a place, with a line of text beside each. All
// bars are one path and all lines one text: a profile has up to 20 places, a report five
// profiles a tree.
type profileView struct {
	Title          string
	Upright        bool   // bars about the trunk's line, the top first
	Bars, Whiskers string // SVG path data
	Height         string // of the drawing, in its own units; its width is barFull
	Lines          string // "7.5 m: 2.5 (1.3–3.7)", one a line, as the bars stand
}

// The profile's drawing, in its own units: a bar of full width is the widest interval's
// end. The page stretches it to the text beside it, so that a bar stands at its line.
const (
	barStep       = 18.0
	barFull       = 144.0
	profilePlaces = 2 // one bar alone says no more than the table
)

func profileViews(t *orchard.TreeResult, k orchard.Kind) []profileView {
	var out []profileView
	for _, q := range profiles {
		if ms := profileOf(q, t.Measurements); q.Kind == k && len(ms) >= profilePlaces {
			out = append(out, newProfile(q, ms))
		}
	}
	return out
}

func newProfile(q quantity, ms []orchard.Measurement) profileView {
	v := profileView{Title: q.Label, Upright: q.Kind == orchard.Side, Height: fixed(barStep*float64(len(ms)), 0)}
	widest := 0.0
	for _, m := range ms {
		widest = max(widest, *m.Value, *m.High95)
	}
	if widest <= 0 {
		widest = 1
	}
	if v.Upright { // the highest place on top
		ms = slices.Clone(ms)
		slices.Reverse(ms)
	}
	var bars, whiskers strings.Builder
	var lines []string
	for i, m := range ms {
		drawBar(&bars, &whiskers, m, barStep*(float64(i)+0.5), widest)
		s := show(m, q.Form)
		lines = append(lines, trimmed(*m.AtM, 2)+space+"m: "+s.Value+" ("+s.Interval+")")
	}
	v.Bars, v.Whiskers, v.Lines = bars.String(), whiskers.String(), strings.Join(lines, "\n")
	return v
}

// drawBar adds a bar about the middle, a line that the style makes thick, and the
// interval's line at its right end.
func drawBar(bars, whiskers *strings.Builder, m orchard.Measurement, y, widest float64) {
	half := func(v float64) float64 { return barFull / 2 * min(max(v/widest, 0), 1) }
	const centre = barFull / 2
	line := func(path *strings.Builder, from, to float64) {
		fmt.Fprintf(path, "M%s %sH%s", fixed(centre+from, 0), fixed(y, 0), fixed(centre+to, 0))
	}
	line(bars, -half(*m.Value), half(*m.Value))
	if *m.High95 > *m.Low95 {
		line(whiskers, half(*m.Low95), half(*m.High95))
	}
}
