package main

import (
	"fmt"
	"io"
	"unicode/utf8"

	"rowlight/internal/orchard"
)

// screen is what rowlight prints to. Names of files and folders come from outside
// and may hold what a terminal obeys: colours, a cleared screen, writing turned
// round. Such signs are written as their codes, which is also how JSON has them; so
// no line of ours needs to think of it. Line breaks stay, and whole lines come in:
// a letter is never cut in two.
type screen struct{ to io.Writer }

func (s screen) Write(p []byte) (int, error) {
	if _, err := s.to.Write(legible(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// legible writes the signs that a terminal obeys as \u001b, and bytes that are no
// letters as \x9b.
func legible(p []byte) []byte {
	var out []byte
	for i, size := 0, 0; i < len(p); i += size {
		var r rune
		switch r, size = utf8.DecodeRune(p[i:]); {
		case r == utf8.RuneError && size == 1:
			out = fmt.Appendf(out, `\x%02x`, p[i])
		case r != '\n' && orchard.Obeyed(r):
			out = fmt.Appendf(out, `\u%04x`, r)
		default:
			out = append(out, p[i:i+size]...)
		}
	}
	return out
}

// behind is the file or buffer that a screen writes to.
func behind(w io.Writer) io.Writer {
	if s, ok := w.(screen); ok {
		return s.to
	}
	return w
}
