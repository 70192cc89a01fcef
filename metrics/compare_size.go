package metrics

import "math"

// Heights and widths of two photos each hang on their own cutting out of the tree
// from its row, which may differ where nothing was cut. Laid on each other, both
// photos are read within one outline instead: what a prune took off the top or the
// sides is missing there.

const (
	// sizeTrim of the leaf is left out at the top and at each side, so that a stray
	// leaf does not rule (as topQuantile, widthTrim).
	sizeTopTrim, sizeSideTrim = 0.002, 0.01
	// heightSDM and widthSDM: a leaf's edge in either photo, and how well they lie on
	// each other; a step to the side turns a crown that is not round, which moves its
	// sides and not its top (set on the practice photos taken twice, a step apart).
	// sizeRelSD: the depth of what was cut, over its distance.
	heightSDM, widthSDM, sizeRelSD = 0.10, 0.15, 0.15
)

// extent is the leaf's reach within an outline, metres on its plane.
type extent struct{ topM, leftM, rightM float64 }

// extents reads the first outline in both photos; ok is false where one shows no
// leaf there.
func (o *sideOverlay) extents() (first, second extent, ok bool) {
	p := o.before.Plane
	var rows, cols [2][]int
	for k := range rows {
		rows[k], cols[k] = make([]int, p.H), make([]int, p.W)
	}
	for at := range o.before.outline.in {
		if !o.both(at) {
			continue
		}
		for k, kind := range [2]SideKind{p.Kind[at], o.second[at]} {
			if kind == SideFoliage {
				rows[k][at/p.W]++
				cols[k][at%p.W]++
			}
		}
	}
	var out [2]extent
	for k := range out {
		top := quantileBin(rows[k], 1-sizeTopTrim)
		left, right := quantileBin(cols[k], sizeSideTrim), quantileBin(cols[k], 1-sizeSideTrim)
		if top < 0 || left < 0 || right < 0 {
			return first, second, false
		}
		out[k] = extent{p.ZM(top), p.XM(left), p.XM(right)}
	}
	return out[0], out[1], true
}

// sizeChange is the change of height and width, metres, less what the same reading
// the other way about gives: what was lost from the first outline, or gained in the
// second. Both scaled from the plane to the crown's own depth.
func (o *sideOverlay) sizeChange() (height, width Estimate, ok bool) {
	b1, a1, ok1 := o.extents()
	back := newOverlay(o.after, o.before, o.fit.inverse())
	a2, b2, ok2 := back.extents()
	if !ok1 || !ok2 {
		return height, width, false
	}
	scale := o.before.depthScale()
	larger := func(lost, gained, ownSDM float64) Estimate {
		d := scale * -lost
		if gained > lost {
			d = scale * gained
		}
		sd := math.Hypot(ownSDM, math.Hypot(sizeRelSD*d, scale*math.Min(math.Abs(lost), math.Abs(gained))))
		return Estimate{Value: d, Low95: d - Z95*sd, High95: d + Z95*sd}
	}
	wide := func(e extent) float64 { return e.rightM - e.leftM }
	height = larger(math.Max(0, b1.topM-a1.topM), math.Max(0, a2.topM-b2.topM), heightSDM)
	width = larger(math.Max(0, wide(b1)-wide(a1)), math.Max(0, wide(a2)-wide(b2)), widthSDM)
	return height, width, true
}

// depthScale is the true height of the top over the level line, over its height as
// drawn on the plane.
func (t *SideTree) depthScale() float64 {
	z, at, _ := t.top()
	h := t.Plane.CameraHeightM
	if k := (z - h) / (at.ZM - h); k > 0.5 && k < 1.5 {
		return k
	}
	return 1
}
