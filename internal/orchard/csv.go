package orchard

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxCSVBytes bounds a table that a person keeps; a line a photo of a large
// orchard stays far below.
const maxCSVBytes = 16 << 20

// maxSheetProblems of a sheet are told: whoever keeps it mends the first and sees, and
// a file of noise fills neither screen nor memory.
const maxSheetProblems = 1000

// sheet is a CSV file that a person keeps: columns by name in any order, commas or
// semicolons or tabs between, # begins a note. Each row lies on one line, so that a
// bad row cannot swallow the next.
type sheet struct {
	name     string
	columns  map[string]int
	rows     []sheetRow
	problems Problems
}

type sheetRow struct {
	sheet  *sheet
	line   int
	fields []string
}

// readSheet reads a sheet with the columns that must be there and those that may.
func readSheet(name string, data []byte, must, may []string) *sheet {
	s := &sheet{name: name}
	data = bytes.TrimPrefix(data, []byte(byteOrderMark))
	switch {
	case len(data) > maxCSVBytes:
		s.refuse(0, fmt.Sprintf("is %d bytes long", len(data)), fmt.Sprintf("keep it below %d MiB", maxCSVBytes>>20))
		return s
	case !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0:
		s.refuse(0, "is not in UTF-8", "save it from the spreadsheet as CSV UTF-8")
		return s
	}
	comma := ','
	text := strings.ReplaceAll(strings.ReplaceAll(string(data), "\r\n", "\n"), "\r", "\n")
	for i, line := range strings.Split(text, "\n") {
		if t := strings.TrimSpace(line); t == "" || t[0] == '#' || strings.Trim(t, ",;") == "" {
			continue
		}
		if s.columns == nil {
			comma = separator(line)
		}
		fields, err := splitLine(line, comma)
		switch {
		case err != nil:
			s.refuse(i+1, "the quotation marks do not pair", "put a text with commas between two of them")
		case s.columns == nil:
			s.head(i+1, fields, must, may)
		default:
			s.rows = append(s.rows, sheetRow{s, i + 1, fields})
		}
		if s.columns != nil && len(s.columns) == 0 {
			return s
		}
	}
	return s
}

// separator returns what parts the columns of a head line: spreadsheets of lands
// with a decimal comma write semicolons.
func separator(head string) rune {
	for _, r := range ",;\t" {
		if strings.ContainsRune(head, r) {
			return r
		}
	}
	return ','
}

func splitLine(line string, comma rune) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace = comma, -1, true
	return r.Read()
}

// head reads the head line; where a column is missing no column is kept.
func (s *sheet) head(line int, fields, must, may []string) {
	s.columns = map[string]int{}
	all := slices.Concat(must, may)
	for i, f := range fields {
		name := strings.ToLower(strings.TrimSpace(f))
		_, twice := s.columns[name]
		switch {
		case name == "":
		case twice:
			s.refuse(line, fmt.Sprintf("column %q stands twice", name), "keep one")
		case !slices.Contains(all, name):
			mend := "the columns are " + strings.Join(all, ", ")
			if near := nearest(name, all); near != "" {
				mend = fmt.Sprintf("did you mean %s?", near)
			}
			s.refuse(line, fmt.Sprintf("column %q is not known and is left out", name), mend)
		default:
			s.columns[name] = i
		}
	}
	for _, name := range must {
		if _, ok := s.columns[name]; !ok {
			s.refuse(line, fmt.Sprintf("column %q is missing", name), "let the first line be "+strings.Join(all, ","))
			s.columns = map[string]int{}
			return
		}
	}
}

func (s *sheet) refuse(line int, what, mend string) {
	switch n := len(s.problems); {
	case n == maxSheetProblems:
		what, mend = "more is wrong from here on", "mend the lines above first"
	case n > maxSheetProblems:
		return
	}
	s.problems = append(s.problems, Problem{File: s.name, Line: line, What: what, Mend: mend})
}

// cell returns a column's text without the spaces around it, "" where the row
// ends before. What Rowlight wrote into a table of its own (SafeCell) reads as it was.
func (r *sheetRow) cell(column string) string {
	i, ok := r.sheet.columns[column]
	if !ok || i >= len(r.fields) {
		return ""
	}
	return PlainCell(strings.TrimSpace(r.fields[i]))
}

func (r *sheetRow) refuse(what, mend string) { r.sheet.refuse(r.line, what, mend) }

// tree reads the columns block, row, tree; ok is false after a problem.
func (r *sheetRow) tree(o *Orchard) (t TreeID, ok bool) {
	row, errRow := number(r.cell("row"), "r")
	n, errTree := number(r.cell("tree"), "t")
	switch {
	case errRow != nil:
		r.refuse(fmt.Sprintf("row is %q", r.cell("row")), "give the row's number, as 3")
		return t, false
	case errTree != nil:
		r.refuse(fmt.Sprintf("tree is %q", r.cell("tree")), "give the tree's number in its row, as 11")
		return t, false
	}
	t, why := o.Resolve(TreeID{r.cell("block"), row, n})
	if why != "" {
		r.refuse(why, "mend the row here or the block in "+FileName)
		return t, false
	}
	return t, true
}

// number reads a whole number that may carry its letter: "3", "03", "r03".
func number(s, letter string) (int, error) {
	return strconv.Atoi(strings.TrimPrefix(strings.ToLower(s), letter))
}
