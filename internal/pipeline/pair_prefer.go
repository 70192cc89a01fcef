package pipeline

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
)

// twoBoardsMethod is the method of a width between two boards at the foliage edges.
const twoBoardsMethod = "two boards"

// preferred puts in the place of single photos' numbers what is known better: a
// width between two boards before a pair's number, a pair's before one photo's. A
// pair whose interval is wider than one photo's leaves that in place. Where two ways
// disagree beyond their intervals the number that counts says so.
func preferred(single, pairs []orchard.Measurement) []orchard.Measurement {
	var out []orchard.Measurement
	done := map[orchard.Quantity]bool{}
	for _, m := range single {
		if done[m.Quantity] {
			continue
		}
		done[m.Quantity] = true
		out = append(out, best(ofQuantity(single, m.Quantity), ofQuantity(pairs, m.Quantity))...)
	}
	for _, m := range pairs {
		if !done[m.Quantity] && m.Value != nil {
			out = append(out, m)
		}
	}
	return out
}

func pairsByTree(pairs []orchard.Record) map[orchard.TreeID][]*orchard.Record {
	out := map[orchard.TreeID][]*orchard.Record{}
	for i := range pairs {
		if t := pairs[i].Tree; t != nil && pairs[i].Status == orchard.Measured {
			out[*t] = append(out[*t], &pairs[i])
		}
	}
	return out
}

// usedPairs leaves out pairs of an alley that does not count.
func usedPairs(pairs []*orchard.Record, over map[*orchard.Record]bool) []*orchard.Record {
	out := map[string]bool{}
	for rec, isOver := range over {
		if isOver {
			out[rec.Path] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(pairs), func(p *orchard.Record) bool { return out[p.Pair[0]] })
}

// withPairs lets the pairs' numbers stand in for single photos'. A profile belongs
// to one of them: the first pair's, where there is one.
func withPairs(single, profile []orchard.Measurement, pairs []*orchard.Record) (s, p []orchard.Measurement) {
	var numbers []orchard.Measurement
	first := map[orchard.Quantity]string{}
	var places []orchard.Measurement
	for _, rec := range pairs {
		for _, m := range rec.Measurements {
			if m.AtM == nil {
				numbers = append(numbers, m)
			} else if first[m.Quantity] == "" || first[m.Quantity] == rec.Path {
				first[m.Quantity] = rec.Path
				places = append(places, m)
			}
		}
	}
	for _, m := range profile {
		if first[m.Quantity] == "" {
			p = append(p, m)
		}
	}
	return preferred(single, numbers), append(p, places...)
}

func ofQuantity(ms []orchard.Measurement, q orchard.Quantity) []orchard.Measurement {
	var out []orchard.Measurement
	for _, m := range ms {
		if m.Quantity == q {
			out = append(out, m)
		}
	}
	return out
}

// best keeps the best way's numbers of one quantity.
func best(single, pairs []orchard.Measurement) []orchard.Measurement {
	boards := withMethod(single, twoBoardsMethod)
	photos := slices.DeleteFunc(slices.Clone(single), func(m orchard.Measurement) bool {
		return m.Value == nil || m.Method == twoBoardsMethod
	})
	pairs = slices.DeleteFunc(slices.Clone(pairs), func(m orchard.Measurement) bool {
		return m.Value == nil || len(photos) > 0 && wideOf(m) > narrowest(photos)
	})
	switch {
	case len(boards) > 0:
		return crossChecked(boards, pairs, photos)
	case len(pairs) > 0:
		return holding(crossChecked(pairs, photos), photos)
	}
	return single
}

func withMethod(ms []orchard.Measurement, method string) []orchard.Measurement {
	var out []orchard.Measurement
	for _, m := range ms {
		if m.Value != nil && m.Method == method {
			out = append(out, m)
		}
	}
	return out
}

func wideOf(m orchard.Measurement) float64 { return *m.High95 - *m.Low95 }

// narrowest is the narrowest interval's width.
func narrowest(ms []orchard.Measurement) float64 {
	w := wideOf(ms[0])
	for _, m := range ms {
		w = min(w, wideOf(m))
	}
	return w
}

// crossChecked flags the numbers that count where another way disagrees.
func crossChecked(count []orchard.Measurement, others ...[]orchard.Measurement) []orchard.Measurement {
	out := slices.Clone(count)
	for _, way := range others {
		for _, m := range way {
			if *m.Low95 <= *out[0].High95 && *m.High95 >= *out[0].Low95 {
				continue
			}
			out[0].Flags = append(slices.Clone(out[0].Flags), fmt.Sprintf(
				"%s says %.1f m (%.1f to %.1f), %s %.1f m: look at both drawn photos, and measure by tape where it matters",
				wayWords(m.Method), *m.Value, *m.Low95, *m.High95, wayWords(out[0].Method), *out[0].Value))
			break
		}
	}
	return out
}

// holding widens a pair's interval to hold one photo's where the two do not meet:
// one of them is wrong, and nothing here says which.
func holding(pairs, photos []orchard.Measurement) []orchard.Measurement {
	out := slices.Clone(pairs)
	low, high := *out[0].Low95, *out[0].High95
	for _, m := range photos {
		if *m.Low95 > *out[0].High95 || *m.High95 < *out[0].Low95 {
			low, high = min(low, *m.Low95), max(high, *m.High95)
		}
	}
	out[0].Low95, out[0].High95 = &low, &high
	return out
}

func wayWords(method string) string {
	switch method {
	case PairMethod:
		return "the pair of photos"
	case twoBoardsMethod:
		return "the distance between the boards"
	}
	return "one photo"
}
