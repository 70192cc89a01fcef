package worksheet

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// letters knows which letters the sheet's type has. A name in another script is
// written with ? for what is missing, and told to the caller.
type letters struct {
	font    *sfnt.Font
	buffer  sfnt.Buffer
	missing map[rune]bool
	units   *regexp.Regexp // a number and its unit
}

func newLetters() (*letters, error) {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("worksheet: read the type: %w", err)
	}
	return &letters{
		font: f, missing: map[rune]bool{},
		units: regexp.MustCompile(`(\d) (%|m|cm|hours?|years?|degrees)(\W|$)`),
	}, nil
}

// printable is the text on one line, in letters that the type has.
func (l *letters) printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp) {
			return ' '
		}
		if r == hardSpace || r == joiner {
			return ' '
		}
		if i, err := l.font.GlyphIndex(&l.buffer, r); err != nil || i == 0 || r > maxBMP {
			l.missing[r] = true
			return '?'
		}
		return r
	}, s)
}

// maxBMP: the PDF writer takes letters of the basic plane only.
const maxBMP = 0xFFFF

// Missing returns the letters that could not be printed, in order of their codes.
func (l *letters) Missing() string {
	var b strings.Builder
	for r := rune(0); r <= unicode.MaxRune && len(l.missing) > 0; r++ {
		if l.missing[r] {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// hardSpace is a blank that names may hold.
const hardSpace = '\u00a0'

// glue keeps numbers and their units on one line.
func (l *letters) glue(s string) string {
	return l.units.ReplaceAllString(s, "$1"+string(joiner)+"$2$3")
}

// joiner stands for a blank that no line is broken at (a hard space would not do, the
// standard library counts it as blank); it is printed as one.
const joiner = '\u2060'

func pageWord(n int) string { return fmt.Sprintf("page %d", n) }
