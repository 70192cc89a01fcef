package compare

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// leafRemoved names the removed share among the quantities of a block.
const leafRemoved orchard.Quantity = "leaf_removed_fraction"

// meanOf are the quantities whose mean change is told per block.
var meanOf = []orchard.Quantity{orchard.SunlitFractionRef, leafRemoved, orchard.HeightM, orchard.CrownWidthM, orchard.ClearWidthM}

func (r *run) result() *Result {
	t := r.opt.Orchard.Crop.Targets
	out := &Result{
		Schema: Schema, Version: r.opt.Version, Orchard: r.opt.Orchard.Name, Before: r.opt.Before.Visit, After: r.opt.After.Visit,
		Yearly: Limits{t.YearlyRemovalLow, t.YearlyRemovalHigh}, Target: t.FloorSunlitFraction,
		Blocks: []BlockChange{}, Trees: []TreeChange{}, Notes: []string{},
	}
	for _, t := range r.trees {
		out.Trees = append(out.Trees, t.out)
	}
	for _, b := range r.opt.Orchard.Blocks {
		if c, ok := r.block(b.Key); ok {
			out.Blocks = append(out.Blocks, c)
		}
	}
	out.Notes = append(out.Notes, r.notes...)
	out.Notes = append(out.Notes, r.absences()...)
	out.Headline = r.headline()
	return out
}

// block means over the trees of one block: over those cut, or over all not
// untouched where none was seen to be cut.
func (r *run) block(key string) (BlockChange, bool) {
	b := BlockChange{Block: key, Changes: []MeanChange{}}
	var treated, control []*tree
	for _, t := range r.trees {
		if t.out.ID.Block != key || t.before == nil || t.after == nil {
			continue
		}
		b.Compared++
		switch {
		case t.control:
			control = append(control, t)
		default:
			treated = append(treated, t)
			if t.out.Verdict == Cut {
				b.Cut++
			}
		}
	}
	if b.Compared == 0 {
		return b, false
	}
	for _, q := range meanOf {
		if m, ok := meanChange(q, treated, control); ok {
			b.Changes = append(b.Changes, m)
			b.Say = append(b.Say, sayMean(m))
		}
	}
	return b, true
}

// meanChange is the mean over all trees but the untouched ones, against these
// where there are two or more. Choosing the trees by their outcome would bias it.
func meanChange(q orchard.Quantity, treated, control []*tree) (MeanChange, bool) {
	d, c := diffs(q, treated), diffs(q, control)
	m, ok := metrics.AgainstControl(d, c)
	against := ok
	if !ok {
		m, ok = metrics.MeanOfChanges(d)
	}
	if !ok {
		return MeanChange{}, false
	}
	unit := "m"
	if q == orchard.SunlitFractionRef || q == leafRemoved {
		unit = "1"
	}
	sun := !against && q == orchard.SunlitFractionRef && slices.ContainsFunc(treated, func(t *tree) bool { return t.sunMoved })
	return MeanChange{Sun: sun, Quantity: q, Unit: unit, Trees: m.Trees, Controls: m.Controls, Against: against,
		Value: Value{m.Mean, m.Low95, m.High95}, Smallest: m.Smallest, Seen: m.Seen() && !sun}, true
}

func diffs(q orchard.Quantity, trees []*tree) []float64 {
	var out []float64
	for _, t := range trees {
		if q == leafRemoved {
			if v := t.out.LeafRemoved; v != nil {
				out = append(out, v.Value)
			}
		} else if c := t.out.find(q); c != nil {
			out = append(out, c.Diff.Value)
		}
	}
	return out
}

// sayMean says a block's mean change in a sentence.
func sayMean(m MeanChange) string {
	scale, unit, decimals := 1.0, "m", 2
	if m.Unit == "1" {
		scale, unit, decimals = 100, "points", 0
	}
	names := map[orchard.Quantity]string{
		orchard.SunlitFractionRef: "Sunlit floor", leafRemoved: "Leaf removed", orchard.HeightM: "Height",
		orchard.CrownWidthM: "Crown width", orchard.ClearWidthM: "Clear alley",
	}
	n := func(v float64) string { return fmt.Sprintf("%+.*f", decimals, scale*v) }
	against := ""
	if m.Against {
		against = fmt.Sprintf(", less the change of %d untouched trees", m.Controls)
	}
	if m.Sun {
		return fmt.Sprintf("%s: no verdict; mean of %d trees %s %s, but the sun stood over 5 degrees higher at one visit and changed all floors alike: name untouched trees with --untouched to take that off.",
			names[m.Quantity], m.Trees, n(m.Value.Value), unit)
	}
	if !m.Seen {
		return fmt.Sprintf("%s: no verdict; mean of %d trees %s %s (%s to %s)%s, a change of %.*f would have been seen.",
			names[m.Quantity], m.Trees, n(m.Value.Value), unit, n(m.Low95), n(m.High95), against, decimals, scale*m.Smallest)
	}
	return fmt.Sprintf("%s: %s %s (%s to %s), mean of %d trees%s.", names[m.Quantity], n(m.Value.Value), unit, n(m.Low95), n(m.High95), m.Trees, against)
}

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
		if c := t.out.find(orchard.SunlitFractionRef); c != nil {
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
		parts = append(parts, fmt.Sprintf("floor light %.0f to %.0f %%", 100*mean(lightB), 100*mean(lightA)))
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

func mean(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x
	}
	return sum / math.Max(float64(len(v)), 1)
}
