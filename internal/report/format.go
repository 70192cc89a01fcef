package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"rowlight/internal/orchard"
)

// Typography of the page; plain turns it into what any terminal shows.
const (
	dash  = "–"      // between the ends of an interval
	space = "\u00a0" // between a number and its unit: no line break
)

// roughM is the interval's full width in metres from which a second decimal
// would say more than is known.
const roughM = 0.5

// shown is a measurement as people read it.
type shown struct {
	Value, Interval, Unit string // "6", "3–11", "%"
}

// Full is "6 % (3–11)".
func (s shown) Full() string { return s.Short() + " (" + s.Interval + ")" }

// Short is "6 %".
func (s shown) Short() string { return withUnit(s.Value, s.Unit) }

func withUnit(v, unit string) string {
	if unit == "" || unit == "°" {
		return v + unit
	}
	return v + space + unit
}

// show formats a measurement that has a value.
func show(m orchard.Measurement, f form) shown {
	scale, decimals, unit := 1.0, 1, ""
	switch f {
	case share:
		scale, decimals, unit = 100, 0, "%"
	case metres:
		unit = "m"
		if *m.High95-*m.Low95 < roughM {
			decimals = 2
		}
	case area:
		unit = "m²"
	case degrees:
		decimals, unit = 0, "°"
	case count:
		decimals = 0
	case volumePerHa:
		decimals, unit = 0, "m³/ha"
	case areaPerHa:
		decimals, unit = 0, "m²/ha"
	}
	num := func(v float64) string { return fixed(v*scale, decimals) }
	s := shown{num(*m.Value), num(*m.Low95) + dash + num(*m.High95), unit}
	if f == share && *m.Value > 0 && s.Value == "0" {
		s.Value = "under" + space + "1" // some light is not no light
	}
	return s
}

// fixed rounds half away from zero and never prints "-0".
func fixed(v float64, decimals int) string {
	p := math.Pow10(decimals)
	r := math.Round(v*p) / p
	if r == 0 {
		r = 0 // drops the sign of a negative zero
	}
	return strconv.FormatFloat(r, 'f', decimals, 64)
}

// points formats a priority or a part of it, whole.
func points(v float64) string { return fixed(v, 0) }

func scoreText(p *orchard.Priority) string {
	return fmt.Sprintf("%s (%s%s%s)", points(p.Score), points(p.Low95), dash, points(p.High95))
}

// slug makes a name fit for a column or an anchor: letters and digits kept,
// the rest written as its code, so that two names never meet.
func slug(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == ' ', r == '_':
			b.WriteByte('_')
		default:
			fmt.Fprintf(&b, ".%x.", r)
		}
	}
	return b.String()
}

// oneLine replaces control characters (line breaks, terminal escapes) and the
// marks that turn the writing direction by spaces.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if unprintable(r) {
			return ' '
		}
		return r
	}, s)
}

func unprintable(r rune) bool {
	return orchard.Obeyed(r) || r == unicode.ReplacementChar
}

// plain is oneLine in signs that every terminal has.
func plain(s string) string {
	return strings.NewReplacer(dash, "-", space, " ", "²", "2", "°", " deg").Replace(oneLine(s))
}

var numberAndUnit = regexp.MustCompile(`(\d) (%|m|m²|m2|°|points?)(\W|$)`)

// glue keeps numbers and their units on one line.
func glue(s string) string { return numberAndUnit.ReplaceAllString(s, "$1"+space+"$2$3") }

// plural is "1 tree", "2 trees".
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
