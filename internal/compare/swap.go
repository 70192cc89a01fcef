package compare

import (
	"fmt"

	"rowlight/internal/orchard"
)

// swapTimes as many spots as with its own tree must be found again with another,
// for a photo to be said to be the other's.
const swapTimes = 3

// swaps looks, for trees whose side photos do not show one tree, whether the
// second photo is another tree's.
func (r *run) swaps() {
	for _, t := range r.trees {
		if t.side == nil || t.side.spots[0] == nil || t.side.common >= commonLeast {
			continue
		}
		best, n := r.bestOther(t)
		if best == nil || n < commonLeast || n < swapTimes*t.side.common {
			continue
		}
		id := best.out.ID
		t.out.SwappedWith = &id
		t.side.why = fmt.Sprintf("%s shows %s, not this tree: %d leaves and twigs of its photo of %s were found again, %d of this tree's: put the photos under the right trees in %s",
			t.side.after, id.Words(), n, r.opt.Before.Visit, t.side.common, orchard.PhotosFile)
	}
	for _, t := range r.trees {
		if s := t.out.SwappedWith; s != nil {
			if o := r.tree(*s); o != nil && o.out.SwappedWith != nil && *o.out.SwappedWith == t.out.ID && before(t.out.ID, o.out.ID) {
				r.notes = append(r.notes, fmt.Sprintf("The side photos of %s and %s at %s look swapped: neither is compared.", t.out.ID.Words(), s.Words(), r.opt.After.Visit))
			}
		}
	}
}

// bestOther is the tree of the block whose first photo has most in common with
// t's second.
func (r *run) bestOther(t *tree) (best *tree, n int) {
	for _, o := range r.trees {
		if o == t || o.out.ID.Block != t.out.ID.Block || o.side == nil || o.side.spots[0] == nil || t.side.spots[1] == nil {
			continue
		}
		if same, _ := o.side.spots[0].Common(t.side.spots[1]); len(same) > n {
			best, n = o, len(same)
		}
	}
	return best, n
}

func (r *run) tree(id orchard.TreeID) *tree {
	for _, t := range r.trees {
		if t.out.ID == id {
			return t
		}
	}
	return nil
}

func before(a, b orchard.TreeID) bool { return a.String() < b.String() }
