package report

import (
	"strconv"

	"rowlight/internal/orchard"
)

// group is a run of trees that cannot be told apart, or a single tree.
type group struct {
	First, Last int // places in the list, from 1
	Trees       []orchard.TreeResult
}

// Label is the group's place: "4", or "1–3".
func (g group) Label() string {
	if g.First == g.Last {
		return strconv.Itoa(g.First)
	}
	return strconv.Itoa(g.First) + dash + strconv.Itoa(g.Last)
}

// Tied tells whether the group holds more than one tree.
func (g group) Tied() bool { return g.First != g.Last }

// groups parts ranked trees (in order of rank) into runs of one tie number.
// A tie number of 0 ties with nothing.
func groups(trees []orchard.TreeResult) (ranked []group, unranked []orchard.TreeResult) {
	for i, t := range trees {
		if t.Priority == nil {
			return ranked, trees[i:]
		}
		n := len(ranked)
		if n > 0 && t.Priority.Tie != 0 && ranked[n-1].Trees[0].Priority.Tie == t.Priority.Tie {
			ranked[n-1].Trees = append(ranked[n-1].Trees, t)
			ranked[n-1].Last = i + 1
			continue
		}
		ranked = append(ranked, group{i + 1, i + 1, []orchard.TreeResult{t}})
	}
	return ranked, nil
}
