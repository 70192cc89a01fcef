package metrics

import (
	"fmt"
	"math"
)

// SideChange is what two side photos of one tree say of the time between them.
type SideChange struct {
	Fit SideFit
	// LeafRemoved is the share of the first photo's leaf area that is gone, by
	// the gaps: below 0 where the tree filled up.
	LeafRemoved Estimate
	// OutlineRemoved is the share of the first outline's area that lies outside
	// the second.
	OutlineRemoved Estimate
	// HeightM and WidthM are the changes read within one outline; not known where
	// SizeKnown is false.
	HeightM, WidthM Estimate
	SizeKnown       bool
	// SeenShare of the first outline is in both photos.
	SeenShare float64
	// BaredM2 is wood that leaves hid in the first photo, on the row's plane, less
	// wood that leaves hide in the second: leaves and wood that do not lie quite on
	// each other count in both alike. Bared are the former's places in the second
	// photo's plane, for their light to be read.
	BaredM2 float64
	Bared   []SidePoint
}

const (
	// leafWindowM is the side of the squares in which gaps are taken as random:
	// the logarithm is averaged over them (Lang and Xiang 1986), so that a dense
	// half and an open half are not taken for one crown of middling density. Some
	// five leaf lengths.
	leafWindowM = 0.50
	// leastGap stands in for a square without a gap: half of one leaf of 10 cm
	// in 50 x 50 cm.
	leastGap = 0.02
	// leafAsOpen of a crown's leaf is classed as sky, wood or ground, and
	// openAsLeaf of what is open (gaps under a pixel, wood in deep shade) as leaf.
	// Medians over five rendered side photos with a class map (practice_side, not
	// the before-and-after pairs); unmended they pull every removed share down by
	// about a fifth of itself.
	leafAsOpen, openAsLeaf = 0.07, 0.13
	// seenLeast of the outline must be in both photos.
	seenLeast = 0.6
	// agreeLeast: below this agreement the two photos do not show one tree, or
	// too little is left of it to say what was taken.
	agreeLeast = 0.25
	// oneSideSD: a photo sees the crown from one side; what is taken deep in a
	// full crown or behind it shows less. From the spread of the removed share
	// about the truth that whole clusters (some 40 of 160 on a tree) have by
	// chance: sqrt(r(1-r)/n) with r a quarter and some 80 of 160 clusters in
	// reach of a line of sight's gaps.
	oneSideSD = 0.045
)

// CompareSides compares a tree's two side photos, laid on each other by fit, or
// where that is nil by what both show of the crowns. The first photo's outline is
// the frame for both, so that leaf taken with its piece of outline (a top, a
// shoulder) counts as the rest. An *Unusable says why they do not compare.
func CompareSides(before, after *SideTree, fit *SideFit) (*SideChange, error) {
	c := &SideChange{}
	if fit != nil {
		c.Fit = *fit
		c.Fit.Agreement = newFitGrid(before.Plane, after.Plane).agreement(c.Fit)
	} else {
		c.Fit = fitSides(before.Plane, after.Plane)
	}
	if c.Fit.Agreement < agreeLeast {
		return c, &Unusable{
			Reason: fmt.Sprintf("the two side photos agree in only %.0f %% of the leaves beyond chance, %.0f %% needed", 100*c.Fit.Agreement, 100*agreeLeast),
			Mend:   "see that both show the same tree from the same place; after a hard cut, heights and widths still tell",
		}
	}
	o := newOverlay(before, after, c.Fit)
	if c.SeenShare = o.seenShare(); c.SeenShare < seenLeast {
		return c, &Unusable{
			Reason: fmt.Sprintf("only %.0f %% of the tree is in both side photos, %.0f %% needed", 100*c.SeenShare, 100*seenLeast),
			Mend:   "stand where the first photo was taken, with the whole tree in the picture",
		}
	}
	c.LeafRemoved = o.leafRemoved()
	c.OutlineRemoved = o.outlineRemoved()
	c.HeightM, c.WidthM, c.SizeKnown = o.sizeChange()
	bared, hidden := o.bared()
	c.Bared = bared
	c.BaredM2 = float64(len(bared)-hidden) * before.Plane.CellM * before.Plane.CellM
	return c, nil
}

// sideOverlay is the first outline's cells with what both photos show there.
type sideOverlay struct {
	before, after *SideTree
	fit           SideFit
	second        []SideKind // by cell of the first plane; SideUnseen outside
}

func newOverlay(before, after *SideTree, fit SideFit) *sideOverlay {
	p := before.Plane
	o := &sideOverlay{before, after, fit, make([]SideKind, len(p.Kind))}
	for at, in := range before.outline.in {
		if in {
			o.second[at] = after.Plane.kindAt(fit.At(p.centre(at)))
		}
	}
	return o
}

// centre is the place of a cell's middle.
func (p *SidePlane) centre(at int) SidePoint { return SidePoint{p.XM(at % p.W), p.ZM(at / p.W)} }

// both tells whether a cell of the outline is in both photos.
func (o *sideOverlay) both(at int) bool {
	return o.before.outline.in[at] && o.before.Plane.Kind[at] != SideUnseen && o.second[at] != SideUnseen
}

func (o *sideOverlay) seenShare() float64 {
	var all, both float64
	for at, in := range o.before.outline.in {
		if !in {
			continue
		}
		all++
		if o.both(at) {
			both++
		}
	}
	return both / math.Max(all, 1)
}

// window counts one square: cells of the outline and those without leaf.
type window struct{ cells, openBefore, openAfter, behind float64 }

// opacity is -ln of the open share, mended for what is classed wrongly and for
// leaves of rows behind that fill showing-th part of it; kept off nought.
func opacity(open, cells, behind float64) float64 {
	p := (open/cells - leafAsOpen) / (1 - leafAsOpen - openAsLeaf) / (1 - behind)
	return -math.Log(math.Min(1, math.Max(p, leastGap)))
}

// windows counts the squares.
func (o *sideOverlay) windows() []window {
	p := o.before.Plane
	behind := o.before.behindAt()
	side := p.cells(leafWindowM)
	across := p.W/side + 1
	all := make([]window, across*(p.H/side+1))
	for at := range o.before.outline.in {
		if !o.both(at) {
			continue
		}
		w := &all[at/p.W/side*across+at%p.W/side]
		w.cells++
		w.behind += behind(p.ZM(at / p.W))
		if p.Kind[at] != SideFoliage {
			w.openBefore++
		}
		if o.second[at] != SideFoliage {
			w.openAfter++
		}
	}
	var out []window
	for _, w := range all {
		if w.cells > 0 {
			out = append(out, w)
		}
	}
	return out
}

// leafRemoved is r = 1 - sum ln P_after / sum ln P_before over the squares, the
// open share P of each weighted by its part of the outline; its error from
// leaving out each square in turn (the jackknife of a ratio), and oneSideSD.
func (o *sideOverlay) leafRemoved() Estimate {
	ws := o.windows()
	r := removedOf(ws, -1)
	n := float64(len(ws))
	var mean, spread float64
	left := make([]float64, len(ws))
	for i := range ws {
		left[i] = removedOf(ws, i)
		mean += left[i] / n
	}
	for _, v := range left {
		spread += (v - mean) * (v - mean)
	}
	sd := math.Hypot(math.Sqrt(spread*(n-1)/n), oneSideSD/(1-hiddenShare(ws)))
	return Estimate{Value: r, Low95: r - Z95*sd, High95: r + Z95*sd}
}

// hiddenShare is the share of the outline's gaps that leaves of the rows behind
// fill, and that tell nothing.
func hiddenShare(ws []window) float64 {
	var behind, cells float64
	for _, w := range ws {
		behind, cells = behind+w.behind, cells+w.cells
	}
	return behind / math.Max(cells, 1)
}

// removedOf is the removed share with one square left out; -1 leaves out none.
func removedOf(ws []window, out int) float64 {
	var before, after float64
	for i, w := range ws {
		if i != out {
			before += w.cells * opacity(w.openBefore, w.cells, w.behind/w.cells)
			after += w.cells * opacity(w.openAfter, w.cells, w.behind/w.cells)
		}
	}
	if before <= 0 {
		return 0
	}
	return 1 - after/before
}

const (
	// outlineEdgeM is how far the outline itself is uncertain all round, after the
	// planes are laid on each other: half a leaf.
	outlineEdgeM = 0.04
	// outlineRelSD: the closing of the outline bridges what was cut by up to its own
	// half metre.
	outlineRelSD = 0.15
)

// outlineRemoved is the share of the first outline that no leaf of the second
// photo covers, less the share of the second's that none of the first covers: a
// step to the side turns the crown and moves both alike, a prune only takes. Any
// leaf covers, so that a seam to the neighbour drawn otherwise counts for nothing.
func (o *sideOverlay) outlineRemoved() Estimate {
	back := newOverlay(o.after, o.before, o.fit.inverse())
	gone, gained := o.uncovered(), back.uncovered()
	v := gone - gained
	sd := math.Hypot(o.rimShare()*outlineEdgeM/o.before.Plane.CellM/2, math.Hypot(gained, outlineRelSD*v))
	return Estimate{Value: v, Low95: v - Z95*sd, High95: math.Min(1, v+Z95*sd)}
}

// inverse maps the second plane into the first; a lean of a few percent is taken
// back to the first order.
func (f SideFit) inverse() SideFit {
	lean := f.Lean / f.StretchZ
	return SideFit{
		StretchX: 1 / f.StretchX, StretchZ: 1 / f.StretchZ, Lean: -lean / f.StretchX,
		ShiftXM: (lean*f.ShiftZM - f.ShiftXM) / f.StretchX, ShiftZM: -f.ShiftZM / f.StretchZ,
	}
}

// uncovered is the share of the first outline over which the second photo's
// leaves, closed as the outline is, do not reach.
func (o *sideOverlay) uncovered() float64 {
	p := o.before.Plane
	leaf := newCellSet(p.W, p.H)
	for at, k := range o.second {
		leaf.in[at] = k == SideFoliage
	}
	r := closeDiscM / 2 / p.CellM
	cover := leaf.dilated(r).eroded(r).filled()
	var all, gone float64
	for at := range o.before.outline.in {
		if o.both(at) {
			all++
			if !cover.in[at] {
				gone++
			}
		}
	}
	return gone / math.Max(all, 1)
}

// rimShare is the share of the outline's cells that touch what is outside.
func (o *sideOverlay) rimShare() float64 {
	var all, rim float64
	for at, in := range o.before.outline.in {
		if in {
			all++
			if o.before.onRim(at) {
				rim++
			}
		}
	}
	return rim / math.Max(all, 1)
}

// onRim tells whether a cell of the outline touches what is outside.
func (t *SideTree) onRim(at int) bool {
	p := t.Plane
	i, j := at%p.W, at/p.W
	if i == 0 || j == 0 || i == p.W-1 || j == p.H-1 {
		return true
	}
	in := t.outline.in
	return !in[at-1] || !in[at+1] || !in[at-p.W] || !in[at+p.W]
}

// bared are the places, in the second photo's plane, of wood where the first
// photo showed leaf; hidden counts the other way about.
func (o *sideOverlay) bared() (bared []SidePoint, hidden int) {
	p := o.before.Plane
	for at := range o.before.outline.in {
		if !o.both(at) {
			continue
		}
		switch was, is := p.Kind[at], o.second[at]; {
		case was == SideFoliage && is == SideWood:
			bared = append(bared, o.fit.At(p.centre(at)))
		case was == SideWood && is == SideFoliage:
			hidden++
		}
	}
	return bared, hidden
}
