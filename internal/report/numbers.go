package report

import (
	"strings"

	"rowlight/internal/orchard"
)

// kindView holds what one kind of shot gave of a tree.
type kindView struct {
	Title    string
	Rows     []numberRow
	Profiles []profileView
	Figures  []figure
}

type numberRow struct {
	Label, Value, Range string
	Absent              string
	Method              string // empty for a photo, which is the rule
	From                []photoRef
	Flags               []string
}

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
		if len(view.Rows)+len(view.Profiles)+len(view.Figures) > 0 {
			out = append(out, view)
		}
	}
	return out
}

func newNumberRow(id orchard.TreeID, c quantity, m orchard.Measurement, short map[string]string) numberRow {
	r := numberRow{Label: c.Label, Absent: m.Absent, Flags: m.Flags}
	if m.Method != "photo" {
		r.Method = m.Method
	}
	for _, path := range m.Photos {
		ref := photoRef{Short: short[path]}
		if ref.Short == "" {
			ref.Short = base(path)
		} else {
			ref.ID = figureID(id, ref.Short)
		}
		r.From = append(r.From, ref)
	}
	if m.Value != nil {
		s := show(m, c.Form)
		r.Value, r.Range, r.Absent = s.Short(), s.Interval, ""
	}
	return r
}

// profileView draws a profile as bars, one a place.
type profileView struct {
	Title, Text string
	Upright     bool // bars about the trunk's line, the top first
	HeightPx    int
	Bars        []profileBar
}

type profileBar struct {
	At, Value    string
	X, Y, Width  string
	TextY        string
	LowX, HighX  string
	WhiskerY     string
	WhiskerDrawn bool
}

// The profile's drawing, in its own units: a bar of full width is the widest
// interval's end; labels stand on both sides.
const (
	barStep, barThick = 18.0, 12.0
	barLeft, barFull  = 46.0, 144.0
	barTop            = 6.0
	profilePlaces     = 2 // one bar alone says no more than the table
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
	v := profileView{Title: q.Label, Upright: q.Kind == orchard.Side, HeightPx: int(2*barTop + barStep*float64(len(ms)))}
	widest := 0.0
	for _, m := range ms {
		widest = max(widest, *m.Value, *m.High95)
	}
	if widest <= 0 {
		widest = 1
	}
	var said []string
	for i, m := range ms {
		line := i
		if v.Upright {
			line = len(ms) - 1 - i // the highest place on top
		}
		v.Bars = append(v.Bars, newProfileBar(m, line, widest))
		said = append(said, trimmed(*m.AtM, 2)+" m: "+show(m, q.Form).Full())
	}
	v.Text = q.Label + ". " + strings.Join(said, "; ")
	return v
}

func newProfileBar(m orchard.Measurement, line int, widest float64) profileBar {
	y := barTop + barStep*float64(line)
	w := func(v float64) float64 { return barFull * min(max(v/widest, 0), 1) }
	centre := barLeft + barFull/2
	s := show(m, metres)
	return profileBar{
		At: trimmed(*m.AtM, 2) + space + "m", Value: s.Value + " (" + s.Interval + ")",
		X: fixed(centre-w(*m.Value)/2, 1), Y: fixed(y, 1), Width: fixed(w(*m.Value), 1), TextY: fixed(y+barThick-2, 1),
		LowX: fixed(centre+w(*m.Low95)/2, 1), HighX: fixed(centre+w(*m.High95)/2, 1), WhiskerY: fixed(y+barThick/2, 1),
		WhiskerDrawn: *m.High95 > *m.Low95,
	}
}
