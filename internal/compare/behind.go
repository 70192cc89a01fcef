package compare

import (
	"fmt"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// behind tells in words that a taller tree of a neighbouring row, seen through and
// over this one, was cut too: the new gaps may be its own. "" where none was.
func (r *run) behind(t *tree) string {
	p := t.side
	if p == nil || p.look0 == nil {
		return ""
	}
	row := r.opt.Orchard.RowSpacingM(t.out.ID.Block)
	for _, o := range r.trees {
		d := o.out.ID
		beside := d.Block == t.out.ID.Block && abs(d.Row-t.out.ID.Row) == 1 && abs(d.Tree-t.out.ID.Tree) <= 1
		if !beside || row <= 0 || o.before == nil || o.after == nil {
			continue
		}
		was, okB := pipeline.EstimateOf(o.before.Find(orchard.HeightM))
		is, okA := pipeline.EstimateOf(o.after.Find(orchard.HeightM))
		if !okB || !okA || was.Value-is.Value < behindDropM {
			continue
		}
		// What it showed over this tree's level line, on this tree's plane.
		top := p.look0.cameraM + (was.Value-p.look0.cameraM)*p.look0.distanceM/(p.look0.distanceM+row)
		if top > p.look0.zoneM {
			return fmt.Sprintf("%s, taller and in the next row, lost %.1f m between the visits: if it stood behind, the new gaps may be its own", d.Words(), was.Value-is.Value)
		}
	}
	return ""
}

// behindDropM: less than half a metre off the row behind opens no gap worth
// speaking of.
const behindDropM = 0.5

func abs(n int) int { return max(n, -n) }

// frame is what of a side photo outlives it.
type frame struct{ cameraM, distanceM, zoneM float64 }
