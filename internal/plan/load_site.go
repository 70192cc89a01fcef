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
	if err != nil || json.Unmarshal(data, &c) != nil {
		return c, false
	}
	return c, c.Schema == comparedSchema
}

// pair is what the i-th tree teaches; ok is false where it was not cut, or the light or
// the leaf was not measured.
func (c comparison) pair(i int) (metrics.SitePair, bool) {
	t := c.Trees[i]
	if t.Verdict != comparedCut || t.LeafBySide == nil || t.LeafBySide.Low95 <= 0 {
		return metrics.SitePair{}, false
	}
	for _, ch := range t.Changes {
		if ch.Quantity == orchard.SunlitFractionRef {
			return metrics.SitePair{Before: ch.Before.Value, After: ch.After.Value, Removed: t.LeafBySide.Value}, true
		}
	}
	return metrics.SitePair{}, false
}
