package plan

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// comparison is what of a compare-<visit>.json teaches the site factor (schema
// "rowlight-compare/1", internal/compare).
type comparison struct {
	Schema string `json:"schema"`
	After  string `json:"after"`
	Trees  []struct {
		ID      orchard.TreeID `json:"id"`
		Verdict string         `json:"verdict"`
		// LeafBySide, not by the floor: the floor's light is what it is held against.
		LeafBySide *Share `json:"leaf_removed_by_side"`
		Changes    []struct {
			Quantity orchard.Quantity `json:"quantity"`
			Before   Share            `json:"before"`
			After    Share            `json:"after"`
		} `json:"changes"`
	} `json:"trees"`
}

const (
	comparedSchema = "rowlight-compare/1"
	comparedCut    = "cut"
)

// loadSitePairs gathers trees before and after a cut from every comparison in the
// results; a tree counts once for one second visit. A file that cannot be read teaches
// nothing.
func loadSitePairs(dir string) []metrics.SitePair {
	names, _ := filepath.Glob(filepath.Join(dir, orchard.ResultsDir, "*", "compare-*.json")) // the pattern is sound
	slices.Sort(names)
	type cut struct {
		after string
		id    orchard.TreeID
	}
	seen := map[cut]bool{}
	var pairs []metrics.SitePair
	for _, name := range names {
		c, ok := readComparison(name)
		if !ok {
			continue
		}
		for i, t := range c.Trees {
			p, ok := c.pair(i)
			if at := (cut{c.After, t.ID}); ok && !seen[at] {
				seen[at] = true
				pairs = append(pairs, p)
			}
		}
	}
	return pairs
}

func readComparison(name string) (c comparison, ok bool) {
	data, err := os.ReadFile(name)
	if err != nil {
		return c, false
	}
	return parseComparison(data)
}

func parseComparison(data []byte) (c comparison, ok bool) {
	ok = json.Unmarshal(data, &c) == nil
	return c, ok && c.Schema == comparedSchema
}

// leastRemoved of the leaf teaches a factor: under it the floor's light is noise, and
// what divides by it no number (ours).
const leastRemoved = 0.01

// pair is what the i-th tree teaches; ok is false where it was not cut, or the light or
// the leaf was not measured or is no share.
func (c comparison) pair(i int) (metrics.SitePair, bool) {
	t := c.Trees[i]
	if t.Verdict != comparedCut || t.LeafBySide == nil || t.LeafBySide.Low95 <= 0 || t.LeafBySide.Value < leastRemoved {
		return metrics.SitePair{}, false
	}
	for _, ch := range t.Changes {
		if before, after := ch.Before.Value, ch.After.Value; ch.Quantity == orchard.SunlitFractionRef && min(before, after) >= 0 && max(before, after) <= 1 {
			return metrics.SitePair{Before: ch.Before.Value, After: ch.After.Value, Removed: t.LeafBySide.Value}, true
		}
	}
	return metrics.SitePair{}, false
}
