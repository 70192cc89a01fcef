package metrics

import "math"

const (
	// behindLeastM2 of the ground beside the crown must be seen at the height of
	// the rows behind, for their leaves to be counted there.
	behindLeastM2 = 0.30
	// behindMost: where the rows behind fill more than this of what is seen past
	// the crown, its gaps cannot be told there at all.
	behindMost = 0.8
	// behindShare of them may be filled where too little is seen beside the crown.
	behindShare = 0.5
)

// behindCover is the share of what is seen past the crown, from the level line
// up to the top of the rows behind, that their leaves fill: counted between the
// seams, beside the outline. ok is false where too little is seen there.
func (t *SideTree) behindCover() (q float64, ok bool) {
	if !t.Zone {
		return 0, true
	}
	leaf, open := t.beside(func(j int) (from, to int) { return t.Left[j] + 1, t.Right[j] })
	if cellM := t.Plane.CellM; (leaf+open)*cellM*cellM < behindLeastM2 {
		return 0, false
	}
	return leaf / (leaf + open), true
}

// beside counts the cells of leaf and of sky beside the outline, at the heights at which
// rows behind can show, in the columns given for each row.
func (t *SideTree) beside(columns func(j int) (from, to int)) (leaf, open float64) {
	p := t.Plane
	for j := p.Row(p.CameraHeightM); j <= p.Row(t.zoneM); j++ {
		for i, to := columns(j); i < to; i++ {
			at := j*p.W + i
			if t.outline.in[at] {
				continue
			}
			switch p.Kind[at] {
			case SideFoliage:
				leaf++
			case SideSky:
				open++
			}
		}
	}
	return leaf, open
}

// behindAt is the share of the gaps at a height that leaves of the rows behind
// fill: their cover below their top, none above it. Where too little is seen
// beside the crown, behindShare of them may be.
func (t *SideTree) behindAt() func(zM float64) float64 {
	q, ok := t.behindCover()
	if !ok {
		q = behindShare
	}
	q = math.Min(q, behindMost)
	p := t.Plane
	return func(zM float64) float64 {
		if t.Zone && zM > p.CameraHeightM && zM <= t.zoneM {
			return q
		}
		return 0
	}
}
