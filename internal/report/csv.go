package report

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"rowlight/internal/orchard"
)

// listMark parts the items of a list within one cell.
const listMark = "; "

// Decimals of the numbers in CSV: a tenth of a millimetre, a hundredth of a
// percent; finer would be noise to the eye, coarser would show in sums.
const csvDecimals = 4

// text makes a cell of words safe: on one line, and no formula to any spreadsheet.
// Numbers do not come through here.
func text(s string) string { return orchard.SafeCell(oneLine(s)) }

// list makes one cell of many texts.
func list[T ~string](items []T) string {
	out := make([]string, len(items))
	for i, it := range items {
		out[i] = string(it)
	}
	return text(strings.Join(out, listMark))
}

// SafeCell is a cell of words that no spreadsheet takes for a formula, for the other
// tables that Rowlight writes.
func SafeCell(s string) string { return text(s) }

func number(v *float64) string {
	if v == nil {
		return ""
	}
	return trimmed(*v, csvDecimals)
}

func trimmed(v float64, decimals int) string {
	s := fixed(v, decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// place formats a latitude or longitude: 7 decimals are a centimetre.
func place(v *float64) string {
	if v == nil {
		return ""
	}
	return trimmed(*v, 7)
}

func treeCells(id *orchard.TreeID) []string {
	if id == nil {
		return []string{"", "", ""}
	}
	return []string{text(id.Block), strconv.Itoa(id.Row), strconv.Itoa(id.Tree)}
}

// columns are the quantities of a file: all those known, then others that
// occur, by name, so that the head of two visits' files is the same.
func columns(all [][]orchard.Measurement) []quantity {
	var other []quantity
	for _, ms := range all {
		for _, m := range ms {
			q := known(m)
			same := func(o quantity) bool { return o.Q == q.Q }
			if m.AtM == nil && !slices.ContainsFunc(quantities, same) && !slices.ContainsFunc(other, same) {
				other = append(other, q)
			}
		}
	}
	slices.SortFunc(other, func(a, b quantity) int { return strings.Compare(a.Column, b.Column) })
	return append(slices.Clone(quantities), other...)
}

func measurementHead(cols []quantity) []string {
	var head []string
	for _, c := range cols {
		head = append(head, c.Column, c.Column+"_low95", c.Column+"_high95")
	}
	for _, p := range profiles {
		head = append(head, p.Column)
	}
	return append(head, "method", "absent")
}

// measurementCells are the cells under measurementHead; find is the owner's
// Find. A profile is one cell: "0.5: 3.21; 1: 3.4", place and value in metres.
func measurementCells(cols []quantity, ms []orchard.Measurement, find func(orchard.Quantity) *orchard.Measurement) []string {
	var cells, methods, absent []string
	for _, c := range cols {
		m := find(c.Q)
		if m == nil {
			cells = append(cells, "", "", "")
			continue
		}
		cells = append(cells, number(m.Value), number(m.Low95), number(m.High95))
		if m.Absent != "" {
			absent = append(absent, c.Column+": "+m.Absent)
		}
		if m.Method != "" && m.Value != nil {
			methods = append(methods, c.Column+": "+m.Method)
		}
	}
	for _, p := range profiles {
		cells = append(cells, profileCell(p, ms))
	}
	return append(cells, list(methods), list(absent))
}

func profileCell(p quantity, ms []orchard.Measurement) string {
	var at []string
	for _, m := range profileOf(p, ms) {
		at = append(at, number(m.AtM)+": "+number(m.Value))
	}
	return strings.Join(at, listMark)
}

// profileOf returns a profile's measured places, nearest first.
func profileOf(p quantity, ms []orchard.Measurement) []orchard.Measurement {
	var out []orchard.Measurement
	for _, m := range ms {
		if m.Quantity == p.Q && m.AtM != nil && m.Value != nil {
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b orchard.Measurement) int {
		switch {
		case *a.AtM < *b.AtM:
			return -1
		case *a.AtM > *b.AtM:
			return 1
		}
		return 0
	})
	return out
}

// writeRows writes RFC 4180: CRLF line ends, quotes where needed.
func writeRows(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(rows)
}
