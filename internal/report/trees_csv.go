package report

import (
	"io"
	"slices"
	"strconv"

	"rowlight/internal/orchard"
)

// WriteTreesCSV writes trees.csv: a head line and one row a tree, by rank,
// those unranked last. The columns are told in the package's text; every text
// cell that a spreadsheet would take for a formula gets a leading apostrophe,
// negative numbers stay numbers.
func WriteTreesCSV(w io.Writer, res *orchard.VisitResult) error {
	s := sound(res)
	var all [][]orchard.Measurement
	for _, t := range s.Trees {
		all = append(all, t.Measurements)
	}
	cols, parts := columns(all), partNames(s.Trees)
	rows := [][]string{treesHead(cols, parts)}
	for i := range s.Trees {
		rows = append(rows, treeRow(&s.Trees[i], cols, parts))
	}
	return writeRows(w, rows)
}

// partNames are the parts of the priority in order of first appearance.
func partNames(trees []orchard.TreeResult) []string {
	var names []string
	for _, t := range trees {
		if t.Priority == nil {
			continue
		}
		for _, p := range t.Priority.Parts {
			if !slices.Contains(names, p.Name) {
				names = append(names, p.Name)
			}
		}
	}
	return names
}

func treesHead(cols []quantity, parts []string) []string {
	head := []string{"rank", "rank_low", "rank_high", "tie", "block", "row", "tree",
		"priority", "priority_low95", "priority_high95"}
	for _, p := range parts {
		head = append(head, "points_"+slug(p))
	}
	head = append(head, measurementHead(cols)...)
	return append(head, "reasons", "photos", "missing", "flags", "unranked", "lat_deg", "lon_deg")
}

func treeRow(t *orchard.TreeResult, cols []quantity, parts []string) []string {
	row := rankCells(t.Priority)
	row = append(row, treeCells(&t.ID)...)
	row = append(row, scoreCells(t.Priority, parts)...)
	row = append(row, measurementCells(cols, t.Measurements, t.Find)...)
	return append(row, list(reasons(t.Priority)), list(t.Photos), list(t.Missing), list(treeFlags(t)),
		text(t.Unranked), place(t.LatDeg), place(t.LonDeg))
}

func rankCells(p *orchard.Priority) []string {
	if p == nil {
		return []string{"", "", "", ""}
	}
	return []string{strconv.Itoa(p.Rank), strconv.Itoa(p.RankLow), strconv.Itoa(p.RankHigh), strconv.Itoa(p.Tie)}
}

func scoreCells(p *orchard.Priority, parts []string) []string {
	cells := make([]string, 3+len(parts))
	if p == nil {
		return cells
	}
	cells[0], cells[1], cells[2] = number(&p.Score), number(&p.Low95), number(&p.High95)
	for i, name := range parts {
		for _, part := range p.Parts {
			if part.Name == name && !part.Missing {
				cells[3+i] = number(&part.Points)
			}
		}
	}
	return cells
}

// reasons are why a tree stands where it does, the strongest first.
func reasons(p *orchard.Priority) []string {
	if p == nil {
		return nil
	}
	parts := slices.Clone(p.Parts)
	slices.SortStableFunc(parts, func(a, b orchard.Part) int {
		switch {
		case a.Points > b.Points:
			return -1
		case a.Points < b.Points:
			return 1
		}
		return 0
	})
	var out []string
	for _, part := range parts {
		if part.Reason != "" && !part.Missing && part.Points >= worthSaying {
			out = append(out, part.Reason)
		}
	}
	return out
}

// worthSaying is the fewest points (of 100) that make a reason: less rounds
// to nothing on the page.
const worthSaying = 0.5

// treeFlags are the tree's flags and those of its numbers, each said once.
func treeFlags(t *orchard.TreeResult) []string {
	var out []string
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, f := range t.Flags {
		add(f)
	}
	for _, m := range t.Measurements {
		for _, f := range m.Flags {
			add(known(m).Label + ": " + f)
		}
	}
	return out
}
