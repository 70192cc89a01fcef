package orchard

import (
	"strings"
	"unicode"
)

// formulaSigns begin a formula in some spreadsheet; the wide ones do where Chinese or
// Japanese is set (OWASP, CSV Injection).
const formulaSigns = "=+-@＝＋－＠"

// cellParts is what spreadsheets of lands with a decimal comma part cells at, in
// tables that were written with commas too.
const cellParts = ";"

// SafeCell is a cell of words, on one line, that no spreadsheet takes for a formula:
// an apostrophe stands before what would begin one, at the cell's head or behind a
// semicolon. PlainCell takes it away again.
func SafeCell(s string) string {
	parts := strings.Split(s, cellParts)
	for i, part := range parts {
		if !beginsFormula(part) {
			continue
		}
		at := 0
		if i > 0 { // keeps "; " together
			at = len(part) - len(strings.TrimLeftFunc(part, unicode.IsSpace))
		}
		parts[i] = part[:at] + "'" + part[at:]
	}
	return strings.Join(parts, cellParts)
}

// PlainCell is what SafeCell was given.
func PlainCell(cell string) string {
	parts := strings.Split(cell, cellParts)
	for i, part := range parts {
		if beginsFormula(part) {
			parts[i] = strings.Replace(part, "'", "", 1)
		}
	}
	return strings.Join(parts, cellParts)
}

// beginsFormula says whether the first sign of a part, blanks and apostrophes passed
// over, could begin a formula: an apostrophe that is there already counts as words, so
// that it is there again when read back.
func beginsFormula(part string) bool {
	part = strings.TrimLeftFunc(part, func(r rune) bool { return unicode.IsSpace(r) || r == '\'' })
	for _, r := range part {
		return strings.ContainsRune(formulaSigns, r)
	}
	return false
}
