package history

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"path/filepath"
	"text/tabwriter"
	"time"

	"rowlight/internal/report"
	"rowlight/internal/wholefile"
)

//go:embed templates
var templates embed.FS

// The files of a history, in results/.
const (
	HTMLName = "history.html"
	JSONName = "history.json"
)

// WriteFolder writes the page and the JSON, the page last.
func WriteFolder(dir string, h *History, written time.Time) (string, error) {
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{JSONName, func(w io.Writer) error { return WriteJSON(w, h) }},
		{HTMLName, func(w io.Writer) error { return WriteHTML(w, h, written) }},
	} {
		if err := wholefile.Write(filepath.Join(dir, f.name), f.write); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, HTMLName), nil
}

// WriteJSON writes history.json.
func WriteJSON(w io.Writer, h *History) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false) // no web page
	e.SetIndent("", "  ")
	return e.Encode(h)
}

// section is a line with its chart.
type section struct {
	Line
	Chart    *chart
	Rows     []tableRow
	Heading  string
	UnderSay string
}

type tableRow struct{ Visit, Sunlit, Height, Clear, Note string }

// WriteHTML writes the page: no network, no script.
func WriteHTML(w io.Writer, h *History, written time.Time) error {
	t, err := template.ParseFS(templates, "templates/*.tmpl")
	if err != nil {
		return fmt.Errorf("history: read the page's template: %w", err)
	}
	page := struct {
		*History
		Written       string
		Blocks, Trees []section
		Growth        string
	}{History: h, Growth: h.growthSay()}
	if !written.IsZero() {
		page.Written = written.Format("2 Jan 2006, 15:04 MST")
	}
	page.Blocks, page.Trees = h.sections(h.Blocks), h.sections(h.Trees)
	var b bytes.Buffer // a fault in a template must not leave half a page
	if err := t.ExecuteTemplate(&b, "history.tmpl", page); err != nil {
		return fmt.Errorf("history: fill the page: %w", err)
	}
	return report.WritePage(w, b.Bytes())
}

func (h *History) growthSay() string {
	return fmt.Sprintf("Regrowth %.0f to %.0f %% of the leaf a year: %s.", 100*h.Regrowth.Low, 100*h.Regrowth.High, h.Regrowth.From)
}

func (h *History) sections(lines []Line) []section {
	var out []section
	for i := range lines {
		s := section{Line: lines[i], Rows: rows(lines[i].Points)}
		if c, ok := h.drawLine(&lines[i]); ok {
			s.Chart = &c
		}
		if u := lines[i].Under; u != nil {
			s.UnderSay = u.Say
		}
		out = append(out, s)
	}
	return out
}

func rows(ps []Point) []tableRow {
	var out []tableRow
	for _, p := range ps {
		r := tableRow{Visit: p.Visit, Sunlit: percent(p.Sunlit), Height: metres(p.Height), Clear: metres(p.Clear)}
		if p.Cut {
			r.Note = "cut before it"
		}
		out = append(out, r)
	}
	return out
}

func percent(v *Value) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.0f %% (%.0f-%.0f)", 100*v.Value, 100*v.Low95, 100*v.High95)
}

func metres(v *Value) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f m (%.1f-%.1f)", v.Value, v.Low95, v.High95)
}

// WriteLines writes the history as a table for a terminal. Of a tree's name, a
// block's key only that is shown, of "" all blocks (the trees where no block has a mean); ok is false where there is no
// such line.
func WriteLines(w io.Writer, h *History, only string) (ok bool, err error) {
	lines := h.Blocks
	if only != "" {
		lines = nil
		for _, l := range append(append([]Line{}, h.Blocks...), h.Trees...) {
			if l.Name == only || l.ID == nil && l.Block == only {
				lines = append(lines, l)
			}
		}
	}
	if only == "" && len(lines) == 0 { // no block has two trees read at one visit
		lines = h.Trees
	}
	if only != "" && len(lines) == 0 {
		return false, nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, l := range lines {
		fmt.Fprintf(t, "%s\n  visit\tsunlit floor\theight\tclear alley\t\n", l.Name)
		for _, r := range rows(l.Points) {
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s\n", r.Visit, r.Sunlit, r.Height, r.Clear, r.Note)
		}
		if l.Under != nil {
			fmt.Fprintf(t, "  Light: %s.\n", l.Under.Say)
		}
		fmt.Fprintln(t)
	}
	if err := t.Flush(); err != nil {
		return true, err
	}
	fmt.Fprintln(w, h.growthSay())
	for _, n := range h.Notes {
		fmt.Fprintln(w, n)
	}
	return true, nil
}
