package compare

import (
	"rowlight/internal/orchard"
)

// mixUps finds photos that look swapped between two trees at either visit by when,
// where and with which board they were taken, and keeps them from being compared. Side
// photos that show the same tree at both visits are believed, whatever the clock says.
func (r *run) mixUps() {
	for _, v := range []*orchard.VisitResult{r.opt.Before, r.opt.After} {
		for _, m := range r.opt.Orchard.MixUps(v) {
			a, b := r.tree(m.A), r.tree(m.B)
			if m.Kind == orchard.Side && (a.sameSide() || b.sameSide()) {
				continue
			}
			words := m.Words(v.Visit)
			r.notes = append(r.notes, words)
			for _, t := range []*tree{a, b} {
				t.mix(m.Kind, words)
			}
		}
	}
}

// sameSide tells whether leaves of the first side photo were found again in the second.
func (t *tree) sameSide() bool { return t != nil && t.side != nil && t.side.common >= commonLeast }

// mix keeps a tree's photos of a kind from being compared.
func (t *tree) mix(kind orchard.Kind, why string) {
	if t == nil {
		return
	}
	if t.mixed == nil {
		t.mixed = map[orchard.Kind]string{}
	}
	t.mixed[kind] = why
	if kind == orchard.Side && t.side != nil {
		t.side.why = why
	}
}

// fromMixed tells whether a quantity is read in photos that look swapped.
func (t *tree) fromMixed(q orchard.Quantity) bool {
	kind := orchard.Side
	if q == orchard.ClearWidthM {
		kind = orchard.Alley
	}
	return t.mixed[kind] != ""
}
