package pipeline

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// rankSeed: the draws behind the intervals are the same in every run.
const rankSeed = 1

// rank gives each tree its priority. trees and looks go side by side.
func (r *runner) rank(trees []orchard.TreeResult, all []looks) error {
	in := make([]metrics.ScoreTree, len(trees))
	at := map[string]int{}
	for i, t := range trees {
		key := t.ID.String()
		at[key] = i
		in[i] = scoreTree(key, t.ID, r.opt.Orchard, all[i])
	}
	scores, err := metrics.Score(in, scoreSettings(r.opt.Orchard))
	if err != nil {
		return fmt.Errorf("%s: %w", orchard.FileName, err)
	}
	for _, s := range scores {
		t := &trees[at[s.Key]]
		if !s.Ranked {
			t.Unranked = unranked(t)
			continue
		}
		t.Priority = priority(s)
	}
	return nil
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
