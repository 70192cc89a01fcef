package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// rankSeed: the draws behind the intervals are the same in every run.
const rankSeed = 1

// rank gives each tree its priority, but for those that a gate keeps out, and
// says how the top of the list hangs on the weights. trees and looks go side by
// side.
func (r *runner) rank(trees []orchard.TreeResult, all []looks) ([]orchard.Sway, error) {
	if err := r.gate(trees); err != nil {
		return nil, err
	}
	var in []metrics.ScoreTree
	at := map[string]int{}
	for i, t := range trees {
		if t.Unranked != "" {
			continue
		}
		key := t.ID.String()
		at[key] = i
		in = append(in, scoreTree(key, t.ID, r.opt.Orchard, all[i]))
	}
	scores, err := metrics.Score(in, scoreSettings(r.opt.Orchard))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", orchard.FileName, err)
	}
	for _, s := range scores {
		t := &trees[at[s.Key]]
		if !s.Ranked {
			t.Unranked = unranked(t)
			continue
		}
		t.Priority = priority(s)
	}
	return sways(metrics.SwayWeights(scores), func(key string) orchard.TreeID { return trees[at[key]].ID }), nil
}

// gate takes trees out of the ranking that marks.csv says must not be in it: a
// power line, root rot, too young, just pruned, photos that a person disbelieves.
func (r *runner) gate(trees []orchard.TreeResult) error {
	marks, problems, err := orchard.LoadMarks(r.opt.Dir, r.opt.Orchard)
	if err != nil {
		return err
	}
	r.warn(problems)
	day := orchard.VisitDay(r.opt.Visit)
	for i := range trees {
		var why []string
		for _, m := range marks.Gates(trees[i].ID, day) {
			why = append(why, m.Reason())
		}
		trees[i].Unranked = strings.Join(why, "; ")
	}
	return nil
}

func sways(in []metrics.Sway, id func(string) orchard.TreeID) []orchard.Sway {
	ids := func(keys []string) []orchard.TreeID {
		out := []orchard.TreeID{}
		for _, k := range keys {
			out = append(out, id(k))
		}
		return out
	}
	var out []orchard.Sway
	for _, s := range in {
		out = append(out, orchard.Sway{Part: s.Part, Factor: s.Factor, Weight: s.Weight, Top: ids(s.Top), In: ids(s.In), Out: ids(s.Out)})
	}
	return out
}

func scoreTree(key string, id orchard.TreeID, o *orchard.Orchard, l looks) metrics.ScoreTree {
	density := l[orchard.DensityBottom]
	if len(density) == 0 {
		density = l[orchard.DensityFraction]
	}
	sunlit := l[orchard.SunlitFractionRef]
	if len(sunlit) == 0 { // no sun on the floor: what the sky overhead leads one to expect
		sunlit = l[orchard.ExpectedSunlitRef]
	}
	return metrics.ScoreTree{
		Key: key, Block: id.Block, RowSpacingM: o.RowSpacingM(id.Block),
		Sunlit: sunlit, HeightM: l[orchard.HeightM], ClearAlleyM: l[orchard.ClearWidthM],
		Density: density, TopToBottom: l[orchard.TopToBottomWidth],
	}
}

func scoreSettings(o *orchard.Orchard) metrics.ScoreSettings {
	set := metrics.DefaultScoreSettings()
	set.Seed = rankSeed
	t := o.Crop.Targets
	set.Targets.Sunlit, set.Targets.ClearAlleyM = t.FloorSunlitFraction, t.ClearAlleyM
	set.Targets.HeightLimitM = t.HeightLimitM
	set.Targets.HeightToRowSpacing, set.Targets.HeightToClearAlley = t.HeightToRowSpacing, t.HeightToClearAlley
	set.Weights = metrics.ScoreWeights(o.Weights)
	return set
}

func priority(s metrics.TreeScore) *orchard.Priority {
	p := &orchard.Priority{
		Score: s.Score, Low95: s.Low95, High95: s.High95,
		Rank: s.Rank, RankLow: s.RankLow95, RankHigh: s.RankHigh95, Tie: s.Tie, WorstFifth: s.WorstFifth,
	}
	if w := s.SunlitWeighed; w != nil {
		p.SunlitWeighed = &orchard.Weighed{Value: w.Value, Low95: w.Low95, High95: w.High95}
	}
	for _, part := range s.Parts {
		p.Parts = append(p.Parts, orchard.Part(part))
	}
	return p
}

// unranked says why a tree has no priority: nothing of it was measured, or what was
// measured says nothing of a target.
func unranked(t *orchard.TreeResult) string {
	if !slices.ContainsFunc(t.Measurements, func(m orchard.Measurement) bool { return m.Value != nil }) {
		return "nothing of this tree could be measured"
	}
	if m := t.Find(orchard.SunlitFractionRef); m != nil && m.Value == nil {
		return "its sunlit share stands, but cannot be set against the target: " + m.Absent
	}
	return "what was measured of it is set against no target"
}
