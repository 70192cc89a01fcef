package orchard

import (
	"fmt"
	"strings"
	"unicode"
)

// Problem is one thing wrong in a file or folder that a person made: where it
// is, what is wrong, and what to do about it.
type Problem struct {
	File string // as the person knows it: "orchard.toml", "photos/2026-03-14"
	Line int    // from 1; 0 where the problem is no line's
	What string
	Mend string
}

// Error says the problem on one line: "orchard.toml:12: latitude_deg is 95: give
// degrees from -90 to 90, south negative".
func (p Problem) Error() string {
	at := p.File
	if p.Line > 0 {
		at = fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	said := at + ": " + p.What
	if p.Mend != "" {
		said += ": " + p.Mend
	}
	return OneLine(said)
}

// OneLine writes the line breaks that a name may hold as \n and \r: a name must not
// begin a line of its own, which could pass for one of ours.
func OneLine(s string) string { return strings.NewReplacer("\n", `\n`, "\r", `\r`).Replace(s) }

// Obeyed tells whether a terminal or a page obeys a sign instead of showing it: line
// breaks and other control characters, and the marks that turn the writing direction.
func Obeyed(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp)
}

// Problems is every problem of a file, in the order of its lines. As an error it
// reads one problem a line.
type Problems []Problem

// Error joins the problems, one a line.
func (ps Problems) Error() string {
	said := make([]string, len(ps))
	for i, p := range ps {
		said[i] = p.Error()
	}
	return strings.Join(said, "\n")
}

// Err returns the problems as an error, nil where there are none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
