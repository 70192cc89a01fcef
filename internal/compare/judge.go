package compare

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/metrics"
)

// asTheyStand are the quantities compared as they stand, from either visit's trees.
func asTheyStand() []orchard.Quantity {
	return []orchard.Quantity{orchard.HeightM, orchard.CrownWidthM, orchard.ClearWidthM, orchard.DensityFraction}
}

// judge fills in a tree's verdict.
func (r *run) judge(t *tree) {
	out := &t.out
	switch {
	case t.felledWhy != "":
		out.Verdict, out.Say = Felled, "felled: "+t.felledWhy+", photographed at "+r.opt.Before.Visit
		return
	case t.before == nil:
		out.Verdict, out.Say = Missing, "no photo at "+r.opt.Before.Visit
		return
	case t.after == nil:
		out.Verdict, out.Say = Missing, "no photo at "+r.opt.After.Visit
		return
	}
	if why := t.mixed[orchard.Floor]; why != "" {
		t.out.Why = append(t.out.Why, why)
	} else {
		r.floor(t)
	}
	r.side(t)
	r.lengths(t)
	r.leaf(t)
	r.limits(t)
	r.verdict(t)
}

func value(e metrics.Estimate) *Value { return &Value{e.Value, e.Low95, e.High95} }

func changeOf(q orchard.Quantity, unit string, c metrics.Change) Change {
	return Change{Quantity: q, Unit: unit, Before: *value(c.Before), After: *value(c.After), Diff: *value(c.Diff), Smallest: c.Smallest, Seen: c.Seen()}
}

// floor compares the floor's light.
func (r *run) floor(t *tree) {
	b, whyB := floorVisit(t.before)
	a, whyA := floorVisit(t.after)
	switch {
	case whyB:
		t.out.Why = append(t.out.Why, whyNone(r.opt.Before, t.out.ID, orchard.Floor))
		return
	case whyA:
		t.out.Why = append(t.out.Why, whyNone(r.opt.After, t.out.ID, orchard.Floor))
		return
	}
	c, err := metrics.CompareFloors(b, a)
	if err != nil {
		t.out.Why = append(t.out.Why, unusableWords(err))
		return
	}
	t.out.Changes = append(t.out.Changes, changeOf(orchard.SunlitFractionRef, "1", c.Share))
	t.sunMoved = c.SunMoved
	if c.LeafKnown {
		t.out.LeafByFloor = value(c.LeafRemoved)
	}
}

// floorVisit is a tree's floor at a visit; none is true where it was not
// measured.
func floorVisit(t *orchard.TreeResult) (f metrics.FloorVisit, none bool) {
	share, ok := pipeline.EstimateOf(t.Find(orchard.SunlitFraction))
	sun, okSun := pipeline.EstimateOf(t.Find(orchard.SunElevationDeg))
	if !ok || !okSun {
		return f, true
	}
	f = metrics.FloorVisit{Share: share, ZenithDeg: 90 - sun.Value}
	if area, ok := pipeline.EstimateOf(t.Find(orchard.FloorAreaM2)); ok {
		f.AreaM2 = area.Value
		if m := t.Find(orchard.FloorAreaM2); len(m.Photos) > 1 {
			f.AreaM2 *= float64(len(m.Photos)) // the mean of several photos' areas
		}
	}
	return f, false
}

// side takes over what the two side photos say.
func (r *run) side(t *tree) {
	p := t.side
	if p == nil {
		return
	}
	t.out.Check = p.check()
	if p.why != "" {
		t.out.Why = append(t.out.Why, p.why)
		return
	}
	if why := r.behind(t); why != "" {
		t.out.Why = append(t.out.Why, why)
		return
	}
	t.out.LeafBySide = value(p.change.LeafRemoved)
	t.out.OutlineRemoved = value(p.change.OutlineRemoved)
	if p.change.BaredM2 > 0 {
		t.out.Bared = &Bared{AreaM2: p.change.BaredM2, SunlitFraction: p.sunlit}
		seen := p.change.LeafRemoved.Low95 > 0 || p.change.OutlineRemoved.Low95 > 0
		t.out.Bared.Paint = seen && p.change.BaredM2 >= paintLeastM2 && p.sunlit != nil && *p.sunlit >= paintLeastShare
	}
}

const (
	// paintLeastM2 of bared wood, seen from one side, is a limb of 10 cm over half
	// a metre; less cannot be told from leaves that moved.
	paintLeastM2 = 0.05
	// paintLeastShare of it in the sun asks for paint: bared wood burns within days
	// of a hot sun (common practice), and the sun wanders.
	paintLeastShare = 0.10
)

// unlaidWiden widens the change of a height where the two side photos could not be
// laid on each other: the intervals of single photos are too narrow by that much on
// invented trees of many forms (the wide set of DEVELOPERS.md).
const unlaidWiden = 2.0

// sideLength is the change of a length. A height or a width is read within one
// outline where the side photos lie on each other; else a height's interval is
// widened and a width, which hangs on where the tree was cut out of its row, not
// compared.
func (t *tree) sideLength(q orchard.Quantity, b, a metrics.Estimate) (metrics.Change, bool) {
	plain := metrics.NewChange(b, a, 0)
	if q != orchard.HeightM && q != orchard.CrownWidthM {
		return plain, true
	}
	if t.side == nil || t.side.why != "" || t.side.change == nil || !t.side.change.SizeKnown {
		return plain.Widened(unlaidWiden), q == orchard.HeightM
	}
	d := t.side.change.HeightM
	if q == orchard.CrownWidthM {
		d = t.side.change.WidthM
	}
	return metrics.ChangeBy(b, d), true
}

// lengths compares what is compared as it stands. A tree whose photos are
// another's is not.
func (r *run) lengths(t *tree) {
	if why := t.mixed[orchard.Alley]; why != "" {
		t.out.Why = append(t.out.Why, why)
	}
	for _, q := range asTheyStand() {
		fromSide := q != orchard.ClearWidthM
		if fromSide && t.out.SwappedWith != nil || t.fromMixed(q) {
			continue
		}
		mb, ma := t.before.Find(q), t.after.Find(q)
		b, okB := pipeline.EstimateOf(mb)
		a, okA := pipeline.EstimateOf(ma)
		if !okB || !okA {
			continue
		}
		if c, ok := t.sideLength(q, b, a); ok {
			t.out.Changes = append(t.out.Changes, changeOf(q, mb.Unit, c))
		}
	}
}

// leaf brings floor and side together.
func (r *run) leaf(t *tree) {
	var es []metrics.Estimate
	for _, v := range []*Value{t.out.LeafBySide, t.out.LeafByFloor} {
		if v != nil {
			es = append(es, metrics.Estimate{Value: v.Value, Low95: v.Low95, High95: v.High95})
		}
	}
	e, ok := metrics.LeafRemoved(es...)
	switch {
	case !ok:
	case e.High95-e.Low95 > leafWidest:
		t.out.Why = append(t.out.Why, fmt.Sprintf("the leaf removed could be anything from %.0f to %.0f %%: take a side photo at both visits, and more floor photos", 100*e.Low95, 100*e.High95))
	default:
		t.out.LeafRemoved = value(e)
	}
}

// leafWidest: an interval wider than this for the share of leaf removed tells
// nothing apart, and is not told.
const leafWidest = 0.8

// limits holds the removed share against the year's limits, the floor against its
// target, and what was done against the plan.
func (r *run) limits(t *tree) {
	l := r.opt.Orchard.Crop.Targets
	if v := t.out.LeafRemoved; v != nil {
		t.out.Yearly = against(*v, l.YearlyRemovalLow, l.YearlyRemovalHigh)
	}
	if c := t.out.find(orchard.SunlitFractionRef); c != nil {
		t.out.Target = against(c.After, l.FloorSunlitFraction, math.Inf(1))
		if t.out.Target == Within {
			t.out.Target = Over // over the target is reached
		}
	}
	if p := t.planned; p != nil {
		t.out.Plan = &Planned{Low: p.ThisYear.Low, High: p.ThisYear.High, Say: p.ThisYear.Say, Done: Open}
		if v := t.out.LeafRemoved; v != nil {
			t.out.Plan.Done = against(*v, p.ThisYear.Low, p.ThisYear.High)
		}
	}
}

// against places a number between two limits; Open where its interval holds one
// of them.
func against(v Value, low, high float64) Outside {
	switch {
	case v.High95 < low:
		return Under
	case v.Low95 > high:
		return Over
	case v.Low95 >= low && v.High95 <= high:
		return Within
	}
	return Open
}
