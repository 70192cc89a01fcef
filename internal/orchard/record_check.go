package orchard

import (
	"fmt"
	"math"
	"path/filepath"
)

// Check refuses results that no run of Rowlight writes: results.json may have been
// edited, damaged, or made to lead out of the folder. What passes can be printed,
// planned from and written to files named by its trees.
func (v *VisitResult) Check() error {
	if err := CheckVisit(v.Visit); err != nil {
		return err
	}
	seen := map[TreeID]bool{}
	for i := range v.Trees {
		if err := v.Trees[i].check(); err != nil {
			return fmt.Errorf("tree %d of the list: %w", i+1, err)
		}
		if seen[v.Trees[i].ID] {
			return fmt.Errorf("%s stands twice", v.Trees[i].ID.Words())
		}
		seen[v.Trees[i].ID] = true
	}
	for _, records := range [][]Record{v.Photos, v.Pairs} {
		for i := range records {
			if err := records[i].Check(); err != nil {
				return fmt.Errorf("photo %d of the list: %w", i+1, err)
			}
		}
	}
	for _, s := range v.Sways {
		for _, ids := range [][]TreeID{s.Top, s.In, s.Out} {
			for _, id := range ids {
				if err := id.check(); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// Check refuses a record that no run of Rowlight keeps.
func (r *Record) Check() error {
	for _, id := range []*TreeID{r.Tree, r.CardTree} {
		if id == nil {
			continue
		}
		if err := id.check(); err != nil {
			return err
		}
	}
	if err := checkPaths(r.Path, r.Overlay); err != nil {
		return err
	}
	if err := checkPaths(r.Pair...); err != nil {
		return err
	}
	return checkMeasurements(r.Measurements)
}

func (t *TreeResult) check() error {
	if err := t.ID.check(); err != nil {
		return err
	}
	if err := checkPaths(t.Photos...); err != nil {
		return err
	}
	if p := t.Priority; p != nil && p.Rank < 1 {
		return fmt.Errorf("rank %d", p.Rank)
	} else if p != nil && p.SunlitWeighed != nil {
		if w := p.SunlitWeighed; !(0 <= w.Low95 && w.Low95 <= w.Value && w.Value <= w.High95 && w.High95 <= 1) {
			return fmt.Errorf("a weighed share of %g (%g to %g)", w.Value, w.Low95, w.High95)
		}
	}
	return checkMeasurements(t.Measurements)
}

// check refuses an ID that could name no tree: its block's key stands in file names.
func (t TreeID) check() error {
	if len(t.Block) > maxKeyLen || !keyPattern().MatchString(t.Block) || t.Row < 1 || t.Row > maxRowNumber || t.Tree < 1 || t.Tree > maxRowNumber {
		return fmt.Errorf("block %q row %d tree %d cannot name a tree", t.Block, t.Row, t.Tree)
	}
	return nil
}

// checkPaths refuses paths that lead out of their folder; "" is none.
func checkPaths(paths ...string) error {
	for _, p := range paths {
		if p != "" && !filepath.IsLocal(filepath.FromSlash(p)) {
			return fmt.Errorf("the path %q leads out of the folder", p)
		}
	}
	return nil
}

func checkMeasurements(ms []Measurement) error {
	for _, m := range ms {
		if err := checkPaths(m.Photos...); err != nil {
			return err
		}
		if m.Value == nil {
			continue
		}
		if m.Low95 == nil || m.High95 == nil || !(*m.Low95 <= *m.High95) || math.IsInf(*m.High95-*m.Low95, 0) {
			return fmt.Errorf("%q has a value without an interval", m.Quantity)
		}
		for _, e := range m.Parts {
			if !(e.SD >= 0) {
				return fmt.Errorf("%q has a part of its error below 0", m.Quantity)
			}
		}
	}
	return nil
}
