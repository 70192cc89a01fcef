package plan

import (
	"math"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// seed of the draws behind the years ahead: the same plan in every run.
const seed = 1

// windowM is how wide a window is cut (common practice: about 1 m).
const windowM = 1.0

// tree plans one tree.
func (b *builder) tree(r *orchard.TreeResult) Tree {
	p := r.Priority
	t := Tree{ID: r.ID, Rank: p.Rank, RankLow: p.RankLow, RankHigh: p.RankHigh, Score: p.Score, Photo: sidePhoto(r)}
	t.Light = b.light(r)
	if core := estimate(r.Find(orchard.DarkCoreFraction)); core != nil {
		share := shareOf(*core)
		t.DarkCore = &share
	}
	form := formOf(r)
	form.Alleys = b.alleysOf(r)
	t.places = metrics.WhereToCut(form, metrics.CutLimits{
		HeightM: b.heightLimit(r.ID), ClearAlleyM: b.targets().ClearAlleyM, SkirtM: b.in.Orchard.Plan.SkirtM,
		DensityFraction: b.densityLimit(), WindowM: windowM, Dark: t.Light == nil || !t.Light.Met,
	})
	t.due = mainCutDue(&t)
	marks := b.in.Marks.Of(r.ID, b.day)
	f := b.factsOf(&t, form, estimate(r.Find(orchard.CrownWidthM)), marks)
	t.Options, t.RuledOut = choose(b.options, b.in.Orchard.Plan.OptionsOff, f)
	b.howMuch(&t)
	b.stageTop(&t, form)
	t.Places = b.placesOf(&t)
	t.Cautions = b.treeCautions(&t, r, form, marks)
	if len(t.Options) > 0 {
		if h := b.in.Orchard.Plan.Hours(t.Options[0].Key); !math.IsNaN(h) {
			t.Hours = &h
		}
	}
	return t
}

// mainCutDue: the floor is short of light, or the form is surely over a limit that
// only a saw mends. A skirt or a doubtful place is maintenance.
func mainCutDue(t *Tree) bool {
	if t.Light != nil && !t.Light.Met {
		return true
	}
	return slices.ContainsFunc(t.places, func(p metrics.CutPlace) bool {
		return p.Sure && p.Kind != metrics.CutSkirt && p.Kind != metrics.CutWindow
	})
}

func (b *builder) light(r *orchard.TreeResult) *Light {
	p0, from := floorLight(r)
	if p0 == nil {
		return nil
	}
	target := b.targets().FloorSunlitFraction
	counted, weighed := weigh(*p0, r.Priority.SunlitWeighed)
	n := metrics.NeedOf(counted, target)
	l := &Light{
		SunlitFraction: shareOf(*p0), Weighed: weighed, From: from, Met: n.Met, Unsure: n.Unsure, Bound: n.Bound,
		Thinning: shareOf(n.Thinning), Window: shareOf(n.Window),
	}
	if n.Met {
		return l
	}
	if b.site != nil {
		s := shareOf(n.WithSite(*b.site))
		l.WithSite = &s
	}
	o := metrics.ThinningOutlook(counted, target, b.year.High, b.regrowth, seed, r.ID.String())
	l.median, l.never = o.Median, o.Median.Never
	l.Seasons = &SeasonsAhead{o.Low95.Words(), o.Median.Words(), o.High95.Words(), o.NeverChance}
	ends := []float64{b.regrowth.Low, b.regrowth.High}
	for _, g := range slices.Compact(ends) {
		l.Paths = append(l.Paths, pathOf(counted.Value, target, b.year.High, g))
	}
	return l
}

// weigh returns the share that a plan rests on: the one drawn toward the block's
// mean where there is one, so that one photo of a few square metres does not set a
// tree's cut alone. Where the tree's own photos saw no sun at all the need stays a
// bound; the block's trees may only make it more careful.
func weigh(own metrics.Estimate, w *orchard.Weighed) (counted metrics.Estimate, said *Share) {
	if w == nil {
		return own, nil
	}
	if metrics.NoSunSeen(own) {
		own.High95 = max(own.High95, w.High95)
		return own, nil
	}
	counted = metrics.Estimate{Value: w.Value, Low95: w.Low95, High95: w.High95}
	share := shareOf(counted)
	return counted, &share
}

// What the floor's light is from.
const (
	FromFloor = "the floor"
	FromSky   = "the sky overhead"
)

// floorLight is the floor's sunlit share and what it is from: a floor photo, or where
// there is none what a photo straight up leads one to expect.
func floorLight(r *orchard.TreeResult) (*metrics.Estimate, string) {
	if p0 := estimate(r.Find(orchard.SunlitFractionRef)); p0 != nil {
		return p0, FromFloor
	}
	return estimate(r.Find(orchard.ExpectedSunlitRef)), FromSky
}

func pathOf(p0, target, limit, g float64) Path {
	years, reached := metrics.ThinningPath(p0, target, limit, g)
	p := Path{Regrowth: g, Reached: reached}
	for _, y := range years {
		p.Years = append(p.Years, Year(y))
	}
	return p
}

func sidePhoto(r *orchard.TreeResult) string {
	if m := r.Find(orchard.HeightM); m != nil && m.Method == "photo" && len(m.Photos) > 0 {
		return m.Photos[0]
	}
	if m := r.Find(orchard.CrownBaseM); m != nil && len(m.Photos) > 0 { // the height was taped
		return m.Photos[0]
	}
	return ""
}

// estimate returns a measurement's number, nil where there is none.
func estimate(m *orchard.Measurement) *metrics.Estimate {
	if m == nil || m.Value == nil || m.Low95 == nil || m.High95 == nil {
		return nil
	}
	return &metrics.Estimate{Value: *m.Value, Low95: *m.Low95, High95: *m.High95}
}

func formOf(r *orchard.TreeResult) metrics.TreeForm {
	f := metrics.TreeForm{
		HeightM: estimate(r.Find(orchard.HeightM)), CrownBaseM: estimate(r.Find(orchard.CrownBaseM)),
		ShoulderM: estimate(r.Find(orchard.ShoulderM)), TopToBottom: estimate(r.Find(orchard.TopToBottomWidth)),
		DensityFraction:       estimate(r.Find(orchard.DensityFraction)),
		DensityMiddleFraction: estimate(r.Find(orchard.DensityMiddle)),
		LargestGapM:           estimate(r.Find(orchard.LargestGapM)),
	}
	for _, m := range r.Measurements {
		if m.Quantity == orchard.WidthAtHeightM && m.AtM != nil && m.Value != nil {
			f.Widths = append(f.Widths, metrics.WidthAt{AtM: *m.AtM, WidthM: *m.Value})
		}
	}
	slices.SortFunc(f.Widths, func(a, b metrics.WidthAt) int {
		switch {
		case a.AtM < b.AtM:
			return -1
		case a.AtM > b.AtM:
			return 1
		}
		return 0
	})
	return f
}
