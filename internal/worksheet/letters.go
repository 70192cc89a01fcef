package worksheet

import (
	"fmt"
	"regexp"

	"rowlight/internal/document"
)

// letters are the type's, with what keeps numbers and their units together.
type letters struct {
	*document.Letters
	units *regexp.Regexp // a number and its unit
}

func newLetters() (*letters, error) {
	l, err := document.NewLetters()
	if err != nil {
		return nil, err
	}
	return &letters{l, regexp.MustCompile(`(\d) (%|m|cm|hours?|years?|degrees)(\W|$)`)}, nil
}

// glue keeps numbers and their units on one line.
func (l *letters) glue(s string) string {
	return l.units.ReplaceAllString(s, "$1"+string(document.Joiner)+"$2$3")
}

func pageWord(n int) string { return fmt.Sprintf("page %d", n) }
