package plan

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

// The files of a plan in results/<visit>/.
const (
	CSVName   = "plan.csv"
	JSONName  = "plan.json"
	SheetName = "worksheet.pdf"
)

// WriteJSON writes plan.json.
func WriteJSON(w io.Writer, p *Plan) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false) // no web page; paths stay readable
	e.SetIndent("", "  ")
	return e.Encode(p)
}

// listMark parts the items of a list within one cell.
const listMark = "; "

// WriteCSV writes plan.csv: trees to do in the order of work, those left, those for
// maintenance, those apart.
func WriteCSV(w io.Writer, p *Plan) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{csvHead()}
	for _, part := range []struct {
		status string
		trees  []Tree
	}{{"do", p.Trees}, {"left", p.Left}, {"maintenance", p.Maintenance}} {
		for i := range part.trees {
			rows = append(rows, treeRow(part.status, &part.trees[i]))
		}
	}
	for _, a := range p.Apart {
		row := make([]string, len(csvHead()))
		copy(row, append([]string{"apart", ""}, idCells(a.ID)...))
		row[len(row)-1] = list(append(append([]string{}, a.Reasons...), a.Advice))
		rows = append(rows, row)
	}
	return c.WriteAll(rows)
}

func csvHead() []string {
	return []string{"status", "order", "block", "row", "tree", "rank", "rank_low", "rank_high", "priority",
		"sunlit_fraction_zenith20", "sunlit_fraction_zenith20_weighed", "sunlit_fraction_zenith20_weighed_low95", "sunlit_fraction_zenith20_weighed_high95",
		"thinning_leaf_fraction", "thinning_leaf_fraction_low95", "thinning_leaf_fraction_high95",
		"window_sky_fraction", "window_sky_fraction_low95", "window_sky_fraction_high95",
		"this_year_low_fraction", "this_year_high_fraction", "seasons_of_even_thinning", "seasons_low95", "seasons_high95",
		"method", "hours", "top_to_m", "places", "reasons", "other_methods", "ruled_out", "cautions", "apart"}
}

func idCells(id orchard.TreeID) []string {
	return []string{report.SafeCell(id.Block), strconv.Itoa(id.Row), strconv.Itoa(id.Tree)}
}

func treeRow(status string, t *Tree) []string {
	order := ""
	if t.Order > 0 {
		order = strconv.Itoa(t.Order)
	}
	row := append([]string{status, order}, idCells(t.ID)...)
	row = append(row, strconv.Itoa(t.Rank), strconv.Itoa(t.RankLow), strconv.Itoa(t.RankHigh), number(t.Score))
	row = append(row, lightCells(t.Light)...)
	row = append(row, number(t.ThisYear.Low), number(t.ThisYear.High))
	row = append(row, seasonCells(t.Light)...)
	row = append(row, methodCells(t)...)
	return append(row, list(t.Cautions), "")
}

// lightColumns are those of lightCells.
const lightColumns = 10

func lightCells(l *Light) []string {
	if l == nil {
		return make([]string, lightColumns)
	}
	weighed := make([]string, 3)
	if w := l.Weighed; w != nil {
		weighed = []string{number(w.Value), number(w.Low95), number(w.High95)}
	}
	return []string{number(l.SunlitFraction.Value), weighed[0], weighed[1], weighed[2],
		number(l.Thinning.Value), number(l.Thinning.Low95), number(l.Thinning.High95),
		number(l.Window.Value), number(l.Window.Low95), number(l.Window.High95)}
}

func seasonCells(l *Light) []string {
	if l == nil || l.Seasons == nil {
		return make([]string, 3)
	}
	return []string{l.Seasons.Median, l.Seasons.Low95, l.Seasons.High95}
}

func methodCells(t *Tree) []string {
	cells := make([]string, 7)
	var others, out, places []string
	for i, c := range t.Options {
		if i == 0 {
			cells[0], cells[4] = c.Key, list(c.Reasons)
			continue
		}
		others = append(others, c.Key)
	}
	for _, c := range t.RuledOut {
		out = append(out, c.Key+": "+strings.Join(c.Reasons, ", "))
	}
	for _, p := range t.Places {
		places = append(places, p.Say)
		if p.Kind == "top" {
			cells[2] = number(p.LowM)
		}
	}
	if t.Hours != nil {
		cells[1] = number(*t.Hours)
	}
	cells[3], cells[5], cells[6] = list(places), list(others), list(out)
	return cells
}

func list(items []string) string { return report.SafeCell(strings.Join(items, listMark)) }

// number keeps four decimals, as the report's tables do.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}
