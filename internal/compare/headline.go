package compare

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat"

	"rowlight/internal/orchard"
)

// absences says how many trees one of the visits has nothing of.
func (r *run) absences() []string {
	var first, second, felled []string
	for _, t := range r.trees {
		switch {
		case t.out.Verdict == Felled:
			felled = append(felled, t.out.ID.String())
		case t.before == nil:
			first = append(first, t.out.ID.String())
		case t.after == nil:
			second = append(second, t.out.ID.String())
		}
	}
	var out []string
	say := func(ids []string, visit string) {
		if len(ids) > 0 {
			out = append(out, fmt.Sprintf("%s no usable photo or tape at %s and %s not compared: %s.", has(len(ids)), visit, are(len(ids)), strings.Join(ids, ", ")))
		}
	}
	say(first, r.opt.Before.Visit)
	say(second, r.opt.After.Visit)
	if n := len(first) + len(second); 2*n >= len(r.trees) && n > 0 {
		out = append(out, fmt.Sprintf("%d of %d trees could not be compared: what is said of the blocks speaks of the others only.", n, len(r.trees)))
	}
	if len(felled) > 0 {
		out = append(out, "Felled, as it seems: "+strings.Join(felled, ", ")+".")
	}
	return out
}

func has(n int) string {
	if n == 1 {
		return "1 tree has"
	}
	return fmt.Sprintf("%d trees have", n)
}

func are(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// headline is the manager's line.
func (r *run) headline() string {
	var removed, lightB, lightA []float64
	cut, compared, planned, plannedCut, over, surelyOver := 0, 0, 0, 0, 0, 0
	for _, t := range r.trees {
		if t.planned != nil {
			planned++
		}
		if t.before == nil || t.after == nil || t.control {
			continue
		}
		compared++
		if t.out.Verdict != Cut {
			continue
		}
		cut++
		if t.planned != nil {
			plannedCut++
		}
		// Under a sun that stood elsewhere the floors' light tells no cut.
		if c := t.out.find(orchard.SunlitFractionRef); c != nil && !t.sunMoved {
			lightB, lightA = append(lightB, c.Before.Value), append(lightA, c.After.Value)
		}
		if v := t.out.LeafRemoved; v != nil {
			removed = append(removed, v.Value)
			if v.Value > r.opt.Orchard.Crop.Targets.YearlyRemovalHigh {
				over++
			}
			if t.out.Yearly == Over {
				surelyOver++
			}
		}
	}
	first := fmt.Sprintf("%d of %s seen to be cut", cut, counted(compared, "compared tree"))
	if planned > 0 {
		first = fmt.Sprintf("%d of %s cut", plannedCut, counted(planned, "planned tree"))
		if cut > plannedCut {
			first += fmt.Sprintf(" and %d not planned", cut-plannedCut)
		}
	}
	parts := []string{first}
	if len(removed) > 0 {
		parts = append(parts, fmt.Sprintf("median %.0f %% of the leaf removed", 100*median(removed)))
	}
	if len(lightB) > 0 {
		parts = append(parts, fmt.Sprintf("floor light %.0f to %.0f %%", 100*stat.Mean(lightB, nil), 100*stat.Mean(lightA, nil)))
	}
	if cut > 0 {
		limit := 100 * r.opt.Orchard.Crop.Targets.YearlyRemovalHigh
		parts = append(parts, fmt.Sprintf("%s over %.0f %%%s", counted(over, "tree"), limit, doubt(over, surelyOver)))
	}
	return strings.Join(parts, "; ") + "."
}

// doubt says how many of the trees over the limit are so beyond doubt.
func doubt(over, sure int) string {
	switch {
	case over == 0 || over == sure:
		return ""
	case sure == 0:
		return " (none beyond doubt)"
	}
	return fmt.Sprintf(" (%d beyond doubt)", sure)
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	sort.Float64s(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}
