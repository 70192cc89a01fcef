package compare

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// leafRemoved names the removed share among the quantities of a block.
const leafRemoved orchard.Quantity = "leaf_removed_fraction"

// meanOf are the quantities whose mean change is told per block.
func meanOf() []orchard.Quantity {
	return []orchard.Quantity{orchard.SunlitFractionRef, leafRemoved, orchard.HeightM, orchard.CrownWidthM, orchard.ClearWidthM}
}

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
	for _, q := range meanOf() {
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
