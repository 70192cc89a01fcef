package plan

import (
	"fmt"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// alleysOf are the tree's alleys as far as they were measured, the one it is held
// against (the narrower) first. The other is known where photos of both say which is
// left and which right.
func (b *builder) alleysOf(r *orchard.TreeResult) []metrics.AlleyBeside {
	m := r.Find(orchard.ClearWidthM)
	clear := estimate(m)
	if clear == nil {
		return nil
	}
	out := []metrics.AlleyBeside{{Side: b.sideOf(m.Photos), ClearM: *clear}}
	if out[0].Side == "" {
		return out
	}
	var looks []metrics.Estimate
	other := ""
	for i := range b.in.Visit.Photos {
		p := &b.in.Visit.Photos[i]
		if p.Tree == nil || *p.Tree != r.ID || p.Kind != orchard.Alley || p.Status != orchard.Measured || p.AlleySide == "" || p.AlleySide == out[0].Side {
			continue
		}
		if e := estimate(p.Find(orchard.ClearWidthM)); e != nil {
			looks, other = append(looks, *e), p.AlleySide
		}
	}
	if e, ok := metrics.Combine(looks); ok {
		out = append(out, metrics.AlleyBeside{Side: other, ClearM: e})
	}
	return out
}

// sideOf is the alley side that the first of some photos says, "" where none does.
func (b *builder) sideOf(photos []string) string {
	for i := range b.in.Visit.Photos {
		if p := &b.in.Visit.Photos[i]; len(photos) > 0 && p.Path == photos[0] {
			return p.AlleySide
		}
	}
	return ""
}

// faceOf is which face of the side photo looks at an alley; "" where the photo's name
// or row does not say from which alley it was taken, or the alley's side is not known.
func (b *builder) faceOf(t *Tree, side string) string {
	from := b.sideOf([]string{t.Photo})
	switch {
	case t.Photo == "" || from == "" || side == "":
		return ""
	case from == side:
		return metrics.NearFace
	}
	return metrics.FarFace
}

// sayAlley says an alley's cut: which side, how deep, from which height.
func (b *builder) sayAlley(t *Tree, p metrics.CutPlace) string {
	s := fmt.Sprintf("Alley side, %s: back by about %.1f m, the row across likewise, for %.1f m clear; narrower above than below.",
		alleyWords(p.Side)+faceWords(b.faceOf(t, p.Side)), p.SizeM, b.targets().ClearAlleyM)
	if p.HighM > p.LowM {
		s += fmt.Sprintf(" From %.1f m up.", p.LowM)
	}
	return s
}

// alleyWords says which of the tree's two alleys is meant.
func alleyWords(side string) string {
	if side == "" {
		return "where the alley is narrow"
	}
	return side + " of the row as you walk from its tree 1"
}

func faceWords(face string) string {
	switch face {
	case metrics.NearFace:
		return " (the face in the picture)"
	case metrics.FarFace:
		return " (the back of the picture)"
	}
	return ""
}
