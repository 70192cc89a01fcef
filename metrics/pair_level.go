package metrics

import (
	"math"
	"slices"
)

// SideDepthPoint is a leaf or limb that two photos of a tree show: where it is drawn
// on the row's plane, and how far before that plane it hangs, toward the camera
// (metres; negative behind).
type SideDepthPoint struct {
	At      SidePoint
	BeforeM float64
	// Alike is how well its surroundings in the two photos correlate, -1 to 1; NaN
	// where that is not known.
	Alike float64
}

const (
	// fillM: a leaf that was not found in both photos hangs where the nearest found
	// ones on its row of the picture do, within this; the farther of two, for what
	// one photo alone sees lies behind what hides it from the other.
	fillM = 0.30
	// spreadCells: a match stands for this many cells to each side, for the matched
	// view's pixels are about as large as a cell, or half as large again.
	spreadCells = 1
	// leastBehindM and mostBehindM bound where a row's crowns end behind its plane
	// and the next row begins; between them it is where the fewest leaves hang.
	leastBehindM, mostBehindM, behindBinM = 1.0, 4.0, 0.25
	// What the first photo alone sees beside a near leaf has no match, and a matcher
	// gives it the leaf's depth. Such places correlate by 0.3 in the mean over
	// alikeHalfM, leaves that are there by 0.6 (practice_side_04); half-way is leastAlike.
	alikeHalfM, leastAlike = 0.10, 0.45
)

// depths is how far before the row's plane what each cell shows lies, metres; NaN
// where it is not known.
type depths []float64

// depthsOf spreads matched places over the cells of a plane that show leaf or wood.
func (p *SidePlane) depthsOf(points []SideDepthPoint) depths {
	d, alike := make(depths, p.W*p.H), make([]float64, p.W*p.H)
	for i := range d {
		d[i], alike[i] = math.NaN(), math.NaN()
	}
	for _, reach := range [2]int{spreadCells, 0} { // a place's own cell counts last
		for _, q := range points {
			i, j := p.Column(q.At.XM), p.Row(q.At.ZM)
			for y := max(0, j-reach); y <= min(p.H-1, j+reach); y++ {
				for x := max(0, i-reach); x <= min(p.W-1, i+reach); x++ {
					if c := y*p.W + x; solid(p.Kind[c]) {
						d[c], alike[c] = q.BeforeM, q.Alike
					}
				}
			}
		}
	}
	d.dropUnlike(p, alike)
	return d
}

// solid tells whether a cell shows a part of a tree.
func solid(k SideKind) bool { return k == SideFoliage || k == SideWood }

// dropUnlike forgets the depths of the row's leaves about which the two photos hardly
// correlate.
func (d depths) dropUnlike(p *SidePlane, alike []float64) {
	limit := -d.behindM(p)
	own, all := make([]float32, len(d)), make([]float32, len(d))
	for i, b := range d {
		if p.Kind[i] == SideFoliage && b > limit && !math.IsNaN(alike[i]) {
			own[i], all[i] = 1, float32(alike[i])
		}
	}
	n, sum := boxShare(own, p.W, p.H, p.cells(alikeHalfM)), boxShare(all, p.W, p.H, p.cells(alikeHalfM))
	for i := range d {
		if own[i] > 0 && float64(sum[i]) < leastAlike*float64(n[i]) {
			d[i] = math.NaN()
		}
	}
}

// filled gives cells of leaf and wood without a depth that of the nearest ones
// around them.
func (d depths) filled(p *SidePlane) depths {
	out := slices.Clone(d)
	for j := range p.H {
		d.fillLine(out, p, j*p.W, 1, p.W)
	}
	for i := range p.W {
		d.fillLine(out, p, i, p.W, p.H)
	}
	return out
}

// fillLine fills a line of n cells, step apart, both ways.
func (d depths) fillLine(out depths, p *SidePlane, from, step, n int) {
	reach := p.cells(fillM)
	for _, way := range [2]int{1, -1} {
		i := from
		if way < 0 {
			i += (n - 1) * step
		}
		last, left := math.NaN(), 0
		for range n {
			if !math.IsNaN(d[i]) {
				last, left = d[i], reach
			} else if left--; left >= 0 && solid(p.Kind[i]) {
				out[i] = farther(out[i], last)
			}
			i += way * step
		}
	}
}

// farther is the lesser of two depths before the plane, or the one that is known.
func farther(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

// behindM is how far behind the row's plane its crowns end and the next row's
// begin: where the fewest leaves hang, the nearest such place.
func (d depths) behindM(p *SidePlane) float64 {
	n := make([]int, int((mostBehindM-leastBehindM)/behindBinM))
	for i, b := range d {
		if p.Kind[i] != SideFoliage || !(b <= -leastBehindM) {
			continue
		}
		if k := int((-b - leastBehindM) / behindBinM); k < len(n) {
			n[k]++
		}
	}
	least := 0
	for k := range n {
		if n[k] < n[least] {
			least = k
		}
	}
	return leastBehindM + (float64(least)+0.5)*behindBinM
}

// Levelled lays the row at the board onto its plane as it would be seen level from
// far off: each leaf and limb moved to where two photos show it to hang, what stands
// behind the row left out. Cells without a tree are sky, ground and board as in the
// view, SideUnseen outside the photo.
func (p *SidePlane) Levelled(points []SideDepthPoint) *SidePlane {
	known := p.depthsOf(points)
	limit := -known.behindM(p)
	out := *p
	out.Kind, out.level = make([]SideKind, len(p.Kind)), make([]levelNote, len(p.Kind))
	for i, k := range p.Kind {
		if out.Kind[i] = k; solid(k) {
			out.Kind[i] = SideSky
		}
	}
	all := known.filled(p)
	for _, k := range [2]SideKind{SideWood, SideFoliage} { // leaf counts where both fall
		for i, b := range all {
			if p.Kind[i] != k || !(b > limit) {
				continue
			}
			note := p.edgesAt(i)
			if !math.IsNaN(known[i]) {
				note |= placed
			}
			out.stamp(i, k, note, (p.DistanceM-b)/p.DistanceM)
		}
	}
	return &out
}

// stamp fills the cells that a cell of the view covers when it is moved along the
// line of sight, to a share of the camera's distance.
func (p *SidePlane) stamp(i int, k SideKind, note levelNote, share float64) {
	half := share * p.CellM / 2
	x := p.CameraXM + (p.XM(i%p.W)-p.CameraXM)*share
	z := p.CameraHeightM + (p.ZM(i/p.W)-p.CameraHeightM)*share
	cell := func(m float64) int { return int(math.Floor(m / p.CellM)) }
	for j := max(0, cell(z-half)); j <= min(p.H-1, cell(z+half)); j++ {
		for c := max(0, cell(x-half-p.LeftM)); c <= min(p.W-1, cell(x+half-p.LeftM)); c++ {
			p.Kind[j*p.W+c] = k
			p.level[j*p.W+c] |= note
		}
	}
}
