package pipeline

import (
	"fmt"
	"math"
	"strings"

	"rowlight/internal/orchard"
)

// A tree stands between two alleys, and is held against the narrower. Photos of
// one alley are several looks at one width and are averaged; photos of two alleys
// never are.

// otherAlley finds the alley photos that show the wider of a tree's two alleys, to
// be passed over, and says so in a flag. Photos are of one alley where they say the
// same side, or none; photos without a side whose intervals have nothing in common
// cannot be of one place, and the narrowest counts with those that agree with it.
func otherAlley(photos []*orchard.Record) (over map[*orchard.Record]bool, flag string) {
	bySide := map[string][]*orchard.Record{}
	for _, rec := range photos {
		if w := clearWidth(rec); w != nil && !isTwin(rec) {
			bySide[rec.AlleySide] = append(bySide[rec.AlleySide], rec)
		}
	}
	switch len(bySide) {
	case 0:
		return nil, ""
	case 1:
		for side, recs := range bySide {
			if side == "" {
				return apart(recs)
			}
		}
		return nil, ""
	}
	narrow, least := "", math.Inf(1)
	var widths []string
	for _, side := range []string{"left", "right", ""} {
		if len(bySide[side]) == 0 {
			continue
		}
		w := meanWidth(bySide[side])
		widths = append(widths, fmt.Sprintf("%s %.1f m", sideWords(side), w))
		if w < least {
			narrow, least = side, w
		}
	}
	over = map[*orchard.Record]bool{}
	for side, recs := range bySide {
		for _, rec := range recs {
			over[rec] = side != narrow
		}
	}
	return over, fmt.Sprintf("the narrower of its alleys counts (%s)", strings.Join(widths, ", "))
}

func sideWords(side string) string {
	if side == "" {
		return "no side said"
	}
	return side
}

// apart passes over the photos whose interval lies wholly above the narrowest's.
func apart(recs []*orchard.Record) (over map[*orchard.Record]bool, flag string) {
	narrow, wide := clearWidth(recs[0]), clearWidth(recs[0])
	for _, rec := range recs[1:] {
		w := clearWidth(rec)
		if *w.Value < *narrow.Value {
			narrow = w
		}
		if *w.Value > *wide.Value {
			wide = w
		}
	}
	if *wide.Low95 <= *narrow.High95 {
		return nil, ""
	}
	over = map[*orchard.Record]bool{}
	for _, rec := range recs {
		over[rec] = *clearWidth(rec).Low95 > *narrow.High95
	}
	return over, fmt.Sprintf("its alley photos differ by more than their errors (%.1f to %.1f m): the narrower counts; if they show its two alleys, put left and right in their names (alley-left)",
		*narrow.Value, *wide.Value)
}

// clearWidth is an alley photo's clear width at the board; nil where it has none.
func clearWidth(rec *orchard.Record) *orchard.Measurement {
	if rec.Status != orchard.Measured || rec.Kind != orchard.Alley {
		return nil
	}
	if m := rec.Find(orchard.ClearWidthM); m != nil && m.Value != nil {
		return m
	}
	return nil
}

func meanWidth(recs []*orchard.Record) float64 {
	ms := make([]orchard.Measurement, len(recs))
	for i, rec := range recs {
		ms[i] = *clearWidth(rec)
	}
	return *combine(ms).Value
}
