package compare

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// verdict says what became of the tree.
func (r *run) verdict(t *tree) {
	out := &t.out
	taken := out.LeafRemoved != nil && out.LeafRemoved.Low95 > 0 || out.OutlineRemoved != nil && out.OutlineRemoved.Low95 > 0
	h := out.find(orchard.HeightM)
	lower := h != nil && h.Seen && h.Diff.Value < 0
	switch {
	case noCrown(r.opt.After, out.ID) && out.LeafBySide == nil:
		out.Verdict = Felled
		out.Say = fmt.Sprintf("felled or bare: no crown at the board in the side photo of %s", r.opt.After.Visit)
	case t.control && (taken || lower):
		out.Verdict, out.Say = Untouched, "named as untouched, but it seems to have been cut: "+cutWords(out)
	case t.control:
		out.Verdict, out.Say = Untouched, "untouched, the measure for the others"
	case taken || lower:
		out.Verdict, out.Say = Cut, cutWords(out)
	case out.LeafRemoved != nil && out.LeafRemoved.High95 < 0:
		out.Verdict, out.Say = Grown, fmt.Sprintf("filled up: %.0f %% more leaf than before", -100*out.LeafRemoved.Value)
	case out.LeafRemoved != nil:
		out.Verdict = NoChange
		out.Say = fmt.Sprintf("no change that could be told from chance; a cut of %.0f %% of the leaf would have been seen", 100*smallestLeaf(*out.LeafRemoved))
	default:
		out.Verdict, out.Say = NoVerdict, "no verdict"
	}
}

// smallestLeaf is the least removed share that would have been seen: 2.8 standard
// errors (80 % power at 5 %).
func smallestLeaf(v Value) float64 { return 2.8 * (v.High95 - v.Low95) / (2 * metrics.Z95) }

// cutWords says how much was cut.
func cutWords(out *TreeChange) string {
	switch v := out.LeafRemoved; {
	case v != nil && v.Low95 > 0:
		return fmt.Sprintf("cut: %.0f %% of the leaf removed (%.0f to %.0f)", 100*v.Value, 100*math.Max(0, v.Low95), 100*v.High95)
	case out.OutlineRemoved != nil && out.OutlineRemoved.Low95 > 0:
		o := out.OutlineRemoved
		return fmt.Sprintf("cut: %.0f %% of the outline removed (%.0f to %.0f); how much leaf that was is not sure", 100*o.Value, 100*o.Low95, 100*o.High95)
	}
	h := out.find(orchard.HeightM)
	return fmt.Sprintf("cut: %.1f m lower (%.1f to %.1f)", -h.Diff.Value, -h.Diff.High95, -h.Diff.Low95)
}

// noCrown tells whether a visit's side photo of a tree was refused for want of a
// crown, as a felled tree's is.
func noCrown(v *orchard.VisitResult, id orchard.TreeID) bool {
	for i := range v.Photos {
		p := &v.Photos[i]
		if p.Tree != nil && *p.Tree == id && p.Kind == orchard.Side && p.Status == orchard.Refused && p.Reason == metrics.NoCrownReason {
			return true
		}
	}
	return false
}
