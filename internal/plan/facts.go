package plan

import (
	"fmt"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// fact is something that the option table's rules ask of a tree.
type fact string

const (
	dark          fact = "dark"           // the floor is under its target
	thinningLong  fact = "thinning_long"  // even thinning takes longNeeded years or more
	thinningNever fact = "thinning_never" // regrowth gives back all that may be taken
	cutDue        fact = "cut_due"
	noCutDue      fact = "no_cut_due"
	tooTall       fact = "too_tall"
	large         fact = "large" // far over its height, and wide enough for columns
	alleyNarrow   fact = "alley_narrow"
	canopiesTouch fact = "canopies_touch"
	denseInside   fact = "dense_inside"
	closePlanting fact = "close_planting"
	habitOpen     fact = "habit_open"
	labourShort   fact = "labour_short"
	followUpPaid  fact = "follow_up_paid"
	fewLimbs      fact = "few_limbs"
	bareInside    fact = "bare_inside"
	flooded       fact = "flooded"
	drainage      fact = "drainage_mended"
	rootRot       fact = "root_rot" // known or suspected
)

func allFacts() []fact {
	return []fact{dark, thinningLong, thinningNever, cutDue, noCutDue, tooTall, large, alleyNarrow, canopiesTouch,
		denseInside, closePlanting, habitOpen, labourShort, followUpPaid, fewLimbs, bareInside, flooded, drainage, rootRot}
}

// facts are those that hold, each with its words and numbers; "" where the rule says
// enough.
type facts map[fact]string

const (
	// longNeeded: one limb a year renews a canopy in 4 to 5 years (common practice);
	// thinning that takes as long gains nothing over it.
	longNeeded = 4
	// largeOver, times the height limit, is a tree to make columns of, where its crown
	// is as wide as two of them (columnM, about 2 m, common practice). The quarter is
	// ours.
	largeOver = 1.25
	columnM   = 2.0
	// touchM: less of a clear alley is canopies that touch, shoots included (ours).
	touchM = 0.5
)

// factsOf gathers what holds for a tree.
func (b *builder) factsOf(t *Tree, form metrics.TreeForm, widthM *metrics.Estimate, marks []orchard.Mark) facts {
	f := facts{}
	b.lightFacts(f, t)
	b.formFacts(f, t, form, widthM)
	b.placeFacts(f, t)
	for _, m := range marks {
		if name, ok := markFact(m.Kind); ok {
			f[name] = m.Reason()
		}
	}
	return f
}

func (b *builder) lightFacts(f facts, t *Tree) {
	if n := t.Light; n != nil && !n.Met {
		f[dark] = fmt.Sprintf("floor %s sunlit%s, target %s", percent(n.SunlitFraction.Value), n.withBlock(), percent(b.targets().FloorSunlitFraction))
		switch {
		case n.never:
			f[thinningNever] = "regrowth gives back what a year may take"
			f[thinningLong] = "never"
		case n.median.Over || n.median.N >= longNeeded:
			f[thinningLong] = n.median.Words() + " years"
		}
	}
	if t.due {
		f[cutDue] = ""
	} else {
		f[noCutDue] = ""
	}
}

func (b *builder) formFacts(f facts, t *Tree, form metrics.TreeForm, widthM *metrics.Estimate) {
	for _, p := range t.places {
		switch p.Kind {
		case metrics.CutTop:
			f[tooTall] = fmt.Sprintf("%.1f m tall, limit %.1f m", p.HighM, b.heightLimit(t.ID))
			if p.HighM >= largeOver*b.heightLimit(t.ID) && widthM != nil && widthM.Value >= 2*columnM {
				f[large] = fmt.Sprintf("%.1f m tall, %.1f m wide", p.HighM, widthM.Value)
			}
		case metrics.CutAlley:
			narrow := form.Alleys[0].ClearM.Value
			f[alleyNarrow] = fmt.Sprintf("alley %.1f m clear, target %.1f m", max(narrow, 0), b.targets().ClearAlleyM)
			if narrow < touchM {
				f[canopiesTouch] = ""
			}
		}
	}
	if d := form.DensityFraction; d != nil && d.Value > b.densityLimit() {
		f[denseInside] = fmt.Sprintf("outline %s filled", percent(d.Value))
	}
}

// placeFacts are those of the block and of the grower.
func (b *builder) placeFacts(f facts, t *Tree) {
	p := b.in.Orchard.Plan
	if p.LabourShort {
		f[labourShort] = ""
	}
	if p.FollowUpPaid {
		f[followUpPaid] = ""
	}
	block := b.in.Orchard.Block(t.ID.Block)
	if block == nil {
		return
	}
	if block.Habit == orchard.Open {
		f[habitOpen] = ""
	}
	// Two columns side by side and the alley do not fit.
	if block.RowSpacingM-b.targets().ClearAlleyM < 2*columnM {
		f[closePlanting] = fmt.Sprintf("rows %.1f m apart", block.RowSpacingM)
	}
}

func markFact(k orchard.MarkKind) (fact, bool) {
	switch k {
	case orchard.RootRot, orchard.RootRotSuspected:
		return rootRot, true
	case orchard.Flooded:
		return flooded, true
	case orchard.DrainageMended:
		return drainage, true
	case orchard.FewLimbs:
		return fewLimbs, true
	case orchard.BareInside:
		return bareInside, true
	}
	return "", false
}
