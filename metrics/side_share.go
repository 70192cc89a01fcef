package metrics

import (
	"math"
	"slices"
)

// SideShares are shares of the outline's area on the row's plane.
type SideShares struct {
	// Plant is the share of leaves and wood, Sky of sky seen through the outline,
	// Ground of ground.
	Plant, Sky, Ground float64
	// Thirds of the crown's height, bottom, middle, top: share of plant; NaN
	// where a third holds no outline.
	Thirds [3]float64
	// BehindSD is what the leaves of rows behind, seen through gaps low in the
	// crown, leave open of Plant (of the thirds: BehindThirdSD).
	BehindSD      float64
	BehindThirdSD [3]float64
	AreaM2        float64 // of the outline, less rows that lie along the ground
}

// tally counts cells of the outline.
type tally struct{ all, plant, sky float64 }

func (a *tally) add(b tally) { a.all, a.plant, a.sky = a.all+b.all, a.plant+b.plant, a.sky+b.sky }

const (
	// behindFill times the square of the crown's own density is the share of its gaps that
	// leaves of the rows behind fill, where these can show: their crowns are as dense as its
	// own. What is seen of them beside the crown hardly tells (its correlation with the true
	// share is 0.1; with the density 0.6): it may be the tree's own leaves or its
	// neighbours'. But where as little as leastBeside is seen there, half as much is filled:
	// there may be no row behind. Chosen with behindDoubt on drawn trees.
	behindFill, leastBeside = 0.68, 0.01
	// behindDoubt of what the rows behind fill is left open.
	behindDoubt = 0.25
	// A row under the level line of which more than sprawlGround is ground, and which is as
	// wide as the crown over it in the median, is no crown: shade or green on the ground
	// joined its outline to what stands beside it. Chosen on drawn trees.
	sprawlGround = 0.35
)

// Shares counts what fills the outline. Cells outside the photo are left out.
// NaN everywhere for an empty outline.
func (t *SideTree) Shares() SideShares {
	p := t.Plane
	lo, hi := t.rowsOfOutline()
	rows := make([]tally, max(0, hi-lo+1))
	for i := range rows {
		rows[i] = t.tallyRow(lo + i)
	}
	sprawl := t.dropSprawl(lo, rows)
	lo, rows = lo+sprawl, rows[sprawl:]
	var thirds, zoned [3]tally
	var all tally
	for i, row := range rows {
		k := min(2, 3*i/len(rows))
		thirds[k].add(row)
		all.add(row)
		if z := p.ZM(lo + i); t.inZone(z) && z > p.CameraHeightM {
			zoned[k].add(row)
		}
	}
	s := SideShares{Sky: all.sky / all.all, AreaM2: all.all * p.CellM * p.CellM}
	var hiddenAll float64
	filled := t.filledGaps(all.plant / all.all)
	for k := range thirds {
		hidden := zoned[k].sky * filled / (1 - filled) // the sky that shows is 1 - filled of the gaps
		s.Thirds[k] = (thirds[k].plant - hidden) / thirds[k].all
		s.BehindThirdSD[k] = behindDoubt * hidden / thirds[k].all
		hiddenAll += hidden
	}
	s.Plant, s.BehindSD = (all.plant-hiddenAll)/all.all, behindDoubt*hiddenAll/all.all
	s.Ground = (all.all - all.plant - all.sky) / all.all
	return s
}

// dropSprawl empties the rows, the lowest of which is row lo of the plane, that lie along the
// ground, and says how many lie under all others.
func (t *SideTree) dropSprawl(lo int, rows []tally) (under int) {
	level := min(max(0, t.Plane.Row(t.Plane.CameraHeightM)+1-lo), len(rows))
	var over []float64
	for _, r := range rows[level:] {
		if r.all > 0 {
			over = append(over, r.all)
		}
	}
	if len(over) == 0 {
		return 0
	}
	slices.Sort(over)
	wide := over[len(over)/2]
	for i, r := range rows[:level] {
		if r.all <= wide || r.all-r.plant-r.sky <= sprawlGround*r.all {
			continue
		}
		if rows[i] = (tally{}); under == i {
			under++
		}
	}
	return under
}

// filledGaps is the share of the crown's gaps that leaves of the rows behind fill, for a
// crown that looks so dense.
func (t *SideTree) filledGaps(density float64) float64 {
	beside, told := t.behindCover()
	if !told { // the seams are drawn close about the tree
		leaf, open := t.beside(func(int) (from, to int) { return 0, t.Plane.W })
		beside = leaf / math.Max(1, leaf+open)
	}
	return behindFill * density * density * beside / (beside + leastBeside)
}

func (t *SideTree) tallyRow(j int) tally {
	p, b := t.Plane, t.box
	from, to := j*p.W+b.x0, j*p.W+b.x1
	foliage, kind := t.foliage.in[from:to], p.Kind[from:to]
	all, plant, sky := 0, 0, 0
	for i, in := range t.outline.in[from:to] {
		if !in || kind[i] == SideUnseen {
			continue
		}
		all++
		switch {
		case foliage[i], kind[i] == SideWood:
			plant++
		case kind[i] == SideSky:
			sky++
		}
	}
	return tally{float64(all), float64(plant), float64(sky)}
}

// rowsOfOutline are the first and the last; the last comes first where there are none.
func (t *SideTree) rowsOfOutline() (lo, hi int) { return t.box.y0, t.box.y1 - 1 }

// SideGap is an opening through the crown: its inscribed circle.
type SideGap struct {
	At        SidePoint
	DiameterM float64
}

// Gaps returns up to n openings (sky or ground seen through the outline), the
// largest inscribed circle first; circles do not overlap.
func (t *SideTree) Gaps(n int) []SideGap {
	p := t.Plane
	if t.open == nil {
		t.open = widestFirst(t.openCells())
	}
	for ; len(t.gaps) < n && len(t.open) > 0; t.open = t.open[1:] {
		c := t.open[0]
		at, radiusM := c.at(p), math.Sqrt(float64(c.toSolid2))*p.CellM
		if !slices.ContainsFunc(t.gaps, func(g SideGap) bool { return !g.clearOf(at, radiusM) }) {
			t.gaps = append(t.gaps, SideGap{at, 2 * radiusM})
		}
	}
	return slices.Clone(t.gaps[:min(n, len(t.gaps))])
}

// openCell is a cell of the plane that shows an opening, and its squared distance (cells)
// from what is none.
type openCell struct{ i, j, toSolid2 int32 }

func (c openCell) at(p *SidePlane) SidePoint { return SidePoint{p.XM(int(c.i)), p.ZM(int(c.j))} }

// openCells are the outline's open ones, in the plane's order.
func (t *SideTree) openCells() []openCell {
	p := t.Plane
	// All is solid outside the outline: a cell more on each side is as good as the plane.
	x0, y0 := max(0, t.box.x0-1), max(0, t.box.y0-1)
	solid := newCellSet(min(p.W, t.box.x1+1)-x0, min(p.H, t.box.y1+1)-y0)
	for j := range solid.h {
		at, to := (y0+j)*p.W+x0, solid.in[j*solid.w:][:solid.w]
		outline, kind := t.outline.in[at:][:len(to)], p.Kind[at:][:len(to)]
		for i := range to {
			to[i] = !outline[i] || (kind[i] != SideSky && kind[i] != SideGround)
		}
	}
	open := solid.away()
	for k := range open {
		open[k].i, open[k].j = open[k].i+int32(x0), open[k].j+int32(y0)
	}
	return open
}

// widestFirst are the cells by their distance, the farthest from what is solid first and
// those as far in the order they had; not nil.
func widestFirst(cells []openCell) []openCell {
	most := int32(0)
	for _, c := range cells {
		most = max(most, c.toSolid2)
	}
	first := make([]int32, most+2) // of each distance: how many lie farther
	for _, c := range cells {
		first[most-c.toSolid2+1]++
	}
	for d := range most {
		first[d+1] += first[d]
	}
	out := make([]openCell, len(cells))
	for _, c := range cells {
		at := &first[most-c.toSolid2]
		out[*at] = c
		*at++
	}
	return out
}

// clearOf tells whether a circle lies wholly outside the gap's.
func (g SideGap) clearOf(at SidePoint, radiusM float64) bool {
	dx, dz, apart := at.XM-g.At.XM, at.ZM-g.At.ZM, g.DiameterM/2+radiusM
	// The root is only asked where the squares lie too near each other to tell.
	const surely = 1e-9
	switch d2, apart2 := dx*dx+dz*dz, apart*apart; {
	case d2 > (1+surely)*apart2:
		return true
	case d2 < (1-surely)*apart2:
		return false
	}
	return math.Hypot(dx, dz) >= apart
}
