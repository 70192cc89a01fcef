package compare

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
	"rowlight/internal/wholefile"
)

// Files names the files of a comparison with a first visit, in results/<after>/.
func Files(before string) (html, csv, json string) {
	stem := "compare-" + before
	return stem + ".html", stem + ".csv", stem + ".json"
}

// WriteFolder writes the page, the table and the JSON, the page last, each whole
// or not at all; it returns the page's path.
func WriteFolder(dir string, res *Result, o *orchard.Orchard, written time.Time) (string, error) {
	page, table, data := Files(res.Before)
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{data, func(w io.Writer) error { return WriteJSON(w, res) }},
		{table, func(w io.Writer) error { return WriteCSV(w, res) }},
		{page, func(w io.Writer) error { return WriteHTML(w, res, o, written) }},
	} {
		if err := wholefile.Write(filepath.Join(dir, f.name), f.write); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, page), nil
}

// WriteJSON writes compare.json (see the package's text).
func WriteJSON(w io.Writer, res *Result) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false) // no web page; the text stays readable
	e.SetIndent("", "  ")
	return e.Encode(res)
}

// csvQuantities are the changes of compare.csv, each before, after, difference
// and its interval.
func csvQuantities() []orchard.Quantity {
	return append([]orchard.Quantity{orchard.SunlitFractionRef}, asTheyStand()...)
}

// WriteCSV writes a line a tree: RFC 4180, CRLF, empty where not known.
func WriteCSV(w io.Writer, res *Result) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	head := []string{"block", "row", "tree", "verdict", "leaf_removed_fraction", "leaf_removed_low95", "leaf_removed_high95",
		"outline_removed_fraction", "outline_removed_low95", "outline_removed_high95", "bared_wood_m2", "paint", "yearly_share", "target", "planned"}
	for _, q := range csvQuantities() {
		for _, part := range []string{"before", "after", "change", "change_low95", "change_high95"} {
			head = append(head, string(q)+"_"+part)
		}
	}
	rows := [][]string{append(head, "says")}
	for i := range res.Trees {
		rows = append(rows, csvRow(&res.Trees[i]))
	}
	return c.WriteAll(rows)
}

func csvRow(t *TreeChange) []string {
	row := []string{report.SafeCell(t.ID.Block), strconv.Itoa(t.ID.Row), strconv.Itoa(t.ID.Tree), string(t.Verdict)}
	row = append(append(row, cells(t.LeafRemoved)...), cells(t.OutlineRemoved)...)
	bared, paint := "", ""
	if t.Bared != nil {
		bared, paint = num(t.Bared.AreaM2), strconv.FormatBool(t.Bared.Paint)
	}
	planned := ""
	if t.Plan != nil {
		planned = string(t.Plan.Done)
	}
	row = append(row, bared, paint, string(t.Yearly), string(t.Target), planned)
	for _, q := range csvQuantities() {
		if c := t.find(q); c != nil {
			row = append(row, num(c.Before.Value), num(c.After.Value), num(c.Diff.Value), num(c.Diff.Low95), num(c.Diff.High95))
		} else {
			row = append(row, "", "", "", "", "")
		}
	}
	return append(row, report.SafeCell(strings.Join(append([]string{t.Say}, t.Why...), "; ")))
}

func cells(v *Value) []string {
	if v == nil {
		return []string{"", "", ""}
	}
	return []string{num(v.Value), num(v.Low95), num(v.High95)}
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

// WriteLines writes the comparison for a terminal.
func WriteLines(w io.Writer, res *Result) error {
	var b strings.Builder
	fmt.Fprintln(&b, res.Headline)
	for _, n := range res.Notes {
		fmt.Fprintln(&b, n)
	}
	for _, k := range res.Blocks {
		fmt.Fprintf(&b, "\nBlock %s, %d of %s cut\n", k.Block, k.Cut, counted(k.Compared, "compared tree"))
		for _, s := range k.Say {
			fmt.Fprintln(&b, "  "+s)
		}
	}
	fmt.Fprintln(&b)
	for i := range res.Trees {
		t := &res.Trees[i]
		fmt.Fprintf(&b, "%s  %s\n", t.ID, t.Say)
		for _, why := range t.Why {
			fmt.Fprintln(&b, "    "+orchard.OneLine(why)) // it may name a photo
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
