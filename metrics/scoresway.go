package metrics

import (
	"math"
	"sort"
)

// Sway is how the top of the list changes when one part's weight moves.
type Sway struct {
	Part   string
	Factor float64 // of its weight; the others stay, then all are scaled to 100
	Weight float64 // as scaled
	// Top are the keys of the first trees under the changed weight, in order; In
	// and Out what came and went against the list as it is.
	Top, In, Out []string
}

// swayFactors move a weight by half down and half up.
func swayFactors() [2]float64 { return [2]float64{0.5, 1.5} }

// topOf the list is its most urgent fifth, three trees at least.
func topOf(n int) int { return min(n, max(3, (n+worstShare-1)/worstShare)) }

// SwayWeights re-orders ranked trees for every part's weight moved by half. It
// works on the parts' points: no draw is made anew. Trees not ranked are left out;
// a part whose weight is 0 too.
func SwayWeights(scores []TreeScore) []Sway {
	var ranked []TreeScore
	for _, s := range scores {
		if s.Ranked {
			ranked = append(ranked, s)
		}
	}
	if len(ranked) == 0 {
		return nil
	}
	plain := topWith(ranked, -1, 1)
	var out []Sway
	for p, part := range ranked[0].Parts {
		for _, f := range swayFactors() {
			if part.Weight == 0 {
				continue
			}
			s := Sway{Part: part.Name, Factor: f, Weight: scaledWeight(part.Weight, f), Top: topWith(ranked, p, f)}
			s.In, s.Out = lacking(s.Top, plain), lacking(plain, s.Top)
			out = append(out, s)
		}
	}
	return out
}

// scaledWeight is a weight of 100 in all, moved by a factor and scaled again.
func scaledWeight(w, factor float64) float64 {
	return w * factor / (fullScore + w*(factor-1)) * fullScore
}

// topWith is the top of the list with the weight of part p times a factor.
func topWith(ranked []TreeScore, p int, factor float64) []string {
	type placed struct {
		key   string
		score float64
	}
	list := make([]placed, len(ranked))
	for i, s := range ranked {
		list[i].key = s.Key
		for k, part := range s.Parts {
			w := 1.0
			if k == p {
				w = factor
			}
			list[i].score += w * part.Points
		}
	}
	// Points that differ by less than rounding are a tie, which the key settles.
	const same = 1e-9
	sort.SliceStable(list, func(a, b int) bool {
		if d := list[a].score - list[b].score; math.Abs(d) > same {
			return d > 0
		}
		return list[a].key < list[b].key
	})
	var out []string
	for _, l := range list[:topOf(len(list))] {
		out = append(out, l.key)
	}
	return out
}

// lacking are the keys of a that b lacks.
func lacking(a, b []string) []string {
	var out []string
	for _, k := range a {
		found := false
		for _, o := range b {
			found = found || o == k
		}
		if !found {
			out = append(out, k)
		}
	}
	return out
}
