package compare

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

//go:embed templates
var templates embed.FS

// page is all that the template prints.
type page struct {
	CSS      template.CSS
	JS       template.JS
	R        *Result
	Written  string
	Maps     []blockMap
	Trees    []treeView
	Apart    []treeView
	Headline string
}

// treeView is one tree in words.
type treeView struct {
	TreeChange
	Anchor, Name string
	Rows         []row
	Facts        []string
	Class        string
	Paint        string
}

// row is one quantity before and after.
type row struct{ Label, Before, After, Change, Note string }

// WriteHTML writes the page of a comparison: no network, one small script for the
// slider, without which the two pictures stand one below the other. name gives a
// block its name. written is printed as it is; zero prints nothing.
func WriteHTML(w io.Writer, res *Result, o *orchard.Orchard, written time.Time) error {
	t, err := template.New("").Funcs(template.FuncMap{"link": report.EscapedPath}).ParseFS(templates, "templates/*.tmpl")
	if err != nil {
		return fmt.Errorf("compare: read the page's template: %w", err)
	}
	css, err := templates.ReadFile("templates/compare.css")
	if err != nil {
		return fmt.Errorf("compare: read the page's style: %w", err)
	}
	js, err := templates.ReadFile("templates/slider.js")
	if err != nil {
		return fmt.Errorf("compare: read the page's script: %w", err)
	}
	p := page{CSS: template.CSS(css), JS: template.JS(js), R: res, Headline: res.Headline, Maps: maps(res, o)}
	if !written.IsZero() {
		p.Written = written.Format("2 Jan 2006, 15:04 MST")
	}
	for i := range res.Trees {
		v := view(&res.Trees[i], o)
		if slices.Contains([]Verdict{Missing, Felled}, v.Verdict) && len(v.Changes) == 0 {
			p.Apart = append(p.Apart, v)
			continue
		}
		p.Trees = append(p.Trees, v)
	}
	var b bytes.Buffer // a fault in a template must not leave half a page
	if err := t.ExecuteTemplate(&b, "compare.tmpl", p); err != nil {
		return fmt.Errorf("compare: fill the page: %w", err)
	}
	return report.WritePage(w, b.Bytes())
}

func anchor(id orchard.TreeID) string { return "tree-" + id.String() }

func treeName(id orchard.TreeID, o *orchard.Orchard) string {
	name := id.Block
	if b := o.Block(id.Block); b != nil && b.Name != "" {
		name = b.Name
	}
	return fmt.Sprintf("%s, row %d, tree %d", name, id.Row, id.Tree)
}

// view puts one tree in words.
func view(t *TreeChange, o *orchard.Orchard) treeView {
	v := treeView{TreeChange: *t, Anchor: anchor(t.ID), Name: treeName(t.ID, o), Class: class(t)}
	if l := t.LeafRemoved; l != nil {
		v.Rows = append(v.Rows, row{"Leaf area removed", "", "", percents(*l), bySource(t)})
	}
	if l := t.OutlineRemoved; l != nil {
		v.Rows = append(v.Rows, row{"Outline removed", "", "", percents(*l), "seen from the side"})
	}
	labels := map[orchard.Quantity]string{
		orchard.SunlitFractionRef: "Sunlit floor (sun 20° from overhead)", orchard.HeightM: "Height", orchard.CrownWidthM: "Crown width",
		orchard.ClearWidthM: "Clear alley", orchard.DensityFraction: "Outline filled with leaf",
	}
	for _, c := range t.Changes {
		v.Rows = append(v.Rows, changeRow(labels[c.Quantity], c))
	}
	v.Facts = facts(t)
	if b := t.Bared; b != nil && b.Paint {
		v.Paint = fmt.Sprintf("Paint: about %.2f m² of wood newly bared (as seen from this side), %.0f %% of it in the sun when photographed. Paint before the cut or within an hour of it.", b.AreaM2, 100**b.SunlitFraction)
	}
	return v
}

func changeRow(label string, c Change) row {
	r := row{Label: label}
	if c.Unit == "1" {
		r.Before, r.After = percent(c.Before.Value), percent(c.After.Value)
		r.Change = fmt.Sprintf("%+.0f points (%+.0f to %+.0f)", whole(c.Diff.Value), whole(c.Diff.Low95), whole(c.Diff.High95))
	} else {
		r.Before, r.After = fmt.Sprintf("%.1f m", c.Before.Value), fmt.Sprintf("%.1f m", c.After.Value)
		r.Change = fmt.Sprintf("%+.1f m (%+.1f to %+.1f)", tenth(c.Diff.Value), tenth(c.Diff.Low95), tenth(c.Diff.High95))
	}
	r.Note = "changed"
	if !c.Seen {
		r.Note = "no verdict; a change of " + amount(c.Smallest, c.Unit) + " would have been seen"
	}
	return r
}

func amount(v float64, unit string) string {
	if unit == "1" {
		return fmt.Sprintf("%.0f points", 100*v)
	}
	return fmt.Sprintf("%.1f m", v)
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }

func percents(v Value) string {
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", whole(v.Value), whole(v.Low95), whole(v.High95))
}

// whole is a share in whole percent, tenth a length in tenths of a metre; + 0
// drops the sign of a negative nought.
func whole(v float64) float64 { return math.Round(100*v) + 0 }

func tenth(v float64) float64 { return math.Round(10*v)/10 + 0 }

func bySource(t *TreeChange) string {
	var by []string
	if v := t.LeafBySide; v != nil {
		by = append(by, "by the side's gaps "+percents(*v))
	}
	if v := t.LeafByFloor; v != nil {
		by = append(by, "by the floor's light "+percents(*v))
	}
	return strings.Join(by, "; ")
}

// facts are what was asked of the cut, and whether it was kept.
func facts(t *TreeChange) []string {
	var out []string
	say := map[Outside]string{
		Under: "Less was taken than the yearly share.", Within: "The yearly share was kept.",
		Over: "More was taken than the yearly share.", Open: "Whether the yearly share was kept cannot be told yet.",
	}
	if t.Yearly != "" && t.Verdict == Cut {
		out = append(out, say[t.Yearly])
	}
	switch t.Target {
	case Over:
		out = append(out, "The floor's light has reached the target.")
	case Under:
		out = append(out, "The floor's light is still under the target.")
	case Open:
		out = append(out, "Whether the floor's light has reached the target cannot be told yet: more floor photos would.")
	}
	if p := t.Plan; p != nil {
		done := map[Outside]string{Under: "less was done", Within: "done as planned", Over: "more was done", Open: "within what can be told"}
		out = append(out, fmt.Sprintf("Planned: %.0f to %.0f %% of the leaf; %s.", 100*p.Low, 100*p.High, done[p.Done]))
	}
	return out
}

// class colours a tree on the map.
func class(t *TreeChange) string {
	switch t.Verdict {
	case Cut:
		if t.LeafRemoved != nil {
			return fmt.Sprintf("c%d", min(3, int(math.Max(0, t.LeafRemoved.Value)/0.10)))
		}
		return "c1"
	case Felled:
		return "felled"
	case Missing, NoVerdict:
		return "none"
	}
	return "same"
}
