package document

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// Letters knows which letters the type has. A name in another script is written with
// ? for what is missing, and Missing tells the caller.
type Letters struct {
	font    *sfnt.Font
	buffer  sfnt.Buffer
	missing map[rune]bool
}

// NewLetters reads the type.
func NewLetters() (*Letters, error) {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("document: read the type: %w", err)
	}
	return &Letters{font: f, missing: map[rune]bool{}}, nil
}

// Joiner stands for a blank that no line is broken at (a hard space would not do, the
// standard library counts it as blank); it is printed as one.
const Joiner = '\u2060'

// hardSpace is a blank that names may hold.
const hardSpace = '\u00a0'

// maxBMP: the PDF writer takes letters of the basic plane only, and panics at others.
const maxBMP = 0xFFFF

// Printable is the text on one line, in letters that the type has.
func (l *Letters) Printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp) {
			return ' '
		}
		if r == hardSpace || r == Joiner {
			return ' '
		}
		if i, err := l.font.GlyphIndex(&l.buffer, r); err != nil || i == 0 || r > maxBMP {
			l.missing[r] = true
			return '?'
		}
		return r
	}, s)
}

// Missing returns the letters that could not be printed, in order of their codes.
func (l *Letters) Missing() string {
	var b strings.Builder
	for r := rune(0); r <= unicode.MaxRune && len(l.missing) > 0; r++ {
		if l.missing[r] {
			b.WriteRune(r)
		}
	}
	return b.String()
}
