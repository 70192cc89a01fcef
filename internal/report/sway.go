package report

import (
	"strings"

	"rowlight/internal/orchard"
)

// swayLine is one line of the table of weights.
type swayLine struct{ Part, Weight, Change string }

// swayLines say how the top of the list changes when each weight moves by half.
func swayLines(res *orchard.VisitResult, l Layout) []swayLine {
	var out []swayLine
	for _, s := range res.Sways {
		moved := "half as much again"
		if s.Factor < 1 {
			moved = "half as much"
		}
		line := swayLine{Part: s.Part, Weight: moved + " (" + points(s.Weight) + " of 100)", Change: "the same trees lead"}
		if len(s.In) > 0 {
			line.Change = "in: " + treeNames(s.In, l) + "; out: " + treeNames(s.Out, l)
		}
		out = append(out, line)
	}
	return out
}

func treeNames(ids []orchard.TreeID, l Layout) string {
	var names []string
	for _, id := range ids {
		names = append(names, treeName(id, l))
	}
	return strings.Join(names, "; ")
}

// unrankedWhy is why a tree has no place in the order.
func unrankedWhy(t *orchard.TreeResult) string {
	if t.Unranked == "" {
		return "nothing could be measured"
	}
	return t.Unranked
}
