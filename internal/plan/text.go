package plan

import (
	"fmt"
	"io"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

// WriteText writes the plan for a terminal of the given width in characters: what to
// do in the order of work, what is left, what stands apart.
func WriteText(w io.Writer, p *Plan, width int) error {
	var lines []report.TextLine
	for i := range p.Trees {
		t := &p.Trees[i]
		lines = append(lines, report.TextLine{Head: fmt.Sprintf("%d. %s  ", t.Order, shortName(t.ID)), Text: sayTree(t)})
	}
	add := func(head string, items []string) {
		if len(items) > 0 {
			lines = append(lines, report.TextLine{Head: head, Text: strings.Join(items, "; ")})
		}
	}
	add("Left undone: ", names(p.Left))
	add("Maintenance only: ", MaintenanceNames(p.Maintenance))
	for _, a := range p.Apart {
		lines = append(lines, report.TextLine{Head: "Apart: ", Text: shortName(a.ID) + ": " + strings.Join(a.Reasons, "; ")})
	}
	for _, n := range p.Notes {
		lines = append(lines, report.TextLine{Text: n})
	}
	lines = append(lines, report.TextLine{Text: sumLine(p)})
	return report.WriteTextLines(w, lines, width)
}

func shortName(id orchard.TreeID) string {
	return fmt.Sprintf("%s row %d tree %d", id.Block, id.Row, id.Tree)
}

func names(trees []Tree) []string {
	var out []string
	for _, t := range trees {
		out = append(out, shortName(t.ID))
	}
	return out
}

// MaintenanceNames are the trees' names, with what is to be looked at again: places
// that the measurement leaves open or that a light hand mends.
func MaintenanceNames(trees []Tree) []string {
	out := names(trees)
	for i, t := range trees {
		var kinds []string
		for _, p := range t.Places {
			kinds = append(kinds, p.Kind)
		}
		if len(kinds) > 0 {
			out[i] += " (look at its " + strings.Join(kinds, ", ") + ")"
		}
	}
	return out
}

func sayTree(t *Tree) string {
	way := "no way of pruning is left: all are ruled out or switched off"
	if len(t.Options) > 0 {
		way = t.Options[0].Name
	}
	share := percent(t.ThisYear.High)
	if low := percent(t.ThisYear.Low); low != share {
		share = low + " to " + share
	}
	said := fmt.Sprintf("%s of the leaf; %s", share, strings.ToLower(way[:1])+way[1:])
	if n := len(t.Places); n > 0 {
		var kinds []string
		for _, p := range t.Places {
			kinds = append(kinds, p.Kind)
		}
		said += "; " + strings.Join(kinds, ", ")
	}
	return said
}

func sumLine(p *Plan) string {
	s := fmt.Sprintf("%d to do", len(p.Trees))
	if p.Hours != nil {
		s += fmt.Sprintf(" in %g hours", *p.Hours)
	}
	return fmt.Sprintf("%s, %d left undone, %d for maintenance only, %d apart, %d without a number.",
		s, len(p.Left), len(p.Maintenance), len(p.Apart), len(p.Unmeasured))
}
