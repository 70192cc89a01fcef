package metrics

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"rowlight/calibrate"
	"rowlight/metrics/wallsums"
)

const (
	// treeOffSDM is how far a tree's wall stands off the row's mean line: uneven
	// pruning, a bend of the row, a tree that leans into the alley.
	treeOffSDM = 0.15
	// The places tried for each tree, and how far along the alley trees are told
	// apart.
	offSteps, offStepM = wallsums.TreePlaces / 2, 0.1
	treeFarM           = 14.0
	// faceLocalSDM: the face of a single half metre of wall scatters about the
	// crowns' mean face, by the clusters of leaves that happen to hang there.
	faceLocalSDM = 0.10
	// formRelSD is what the model's form adds, a share of the crown's depth: real
	// crowns are no rounded boxes. Where the sun's shade was fitted too, the crown has
	// been seen from two sides; where not, its depth is hardly told by its outline,
	// and the fit's own error falls short. Set so that errors over errors expected
	// have a spread of 1 on scratch scenes of the second renderer (22 with sun, 18
	// without).
	formRelSD, formAloneRelSD = 0.15, 0.30
	// scaleRelSD: where nothing but common practice (how high trees and skirts are)
	// gives an outline its scale, a quarter of the width stays open.
	scaleRelSD = 0.25
)

// placeEachTree moves each tree near the camera to where its own outline and its
// own foot put it, given the rows and the crown. The scene is turned to the fit's heading.
func (a *Alley) placeEachTree(f *alleyFit) {
	m := f.model(f.at)
	crown := m.wideCrown()
	for k := range a.rows {
		r, row := &a.rows[k], m.rows[k].wide(m.perTree)
		r.first = int(math.Floor((1 - r.firstM) / a.SpacingM))
		r.trees = make([]treeOff, int(math.Ceil((treeFarM-r.firstM)/a.SpacingM))-r.first+1)
		offM := make([]float32, len(r.trees))
		for range 2 {
			for i := range r.trees {
				tree := r.first + i
				lo, hi := a.sightsPast(k, tree)
				cost := f.sights.PastTree(lo, hi, crown, row, m.rows[k].treePlaces(tree, r.first, &m.crown), offM)
				r.trees[i] = a.placeTree(k, tree, cost)
				offM[i] = float32(r.trees[i].m)
			}
		}
	}
}

// treePlaces are the places tried for a tree.
func (s *crossing) treePlaces(tree, first int, c *crown) wallsums.Tree {
	t := wallsums.Tree{Number: int32(tree), First: int32(first), PerDepth: float32(c.perDepth)}
	for i, out := range s.outM {
		for p := range t.Plan[i] {
			x := (out - s.lineM - float64(p-offSteps)*offStepM) * c.perDepth
			t.Plan[i][p] = float32(x * x)
		}
	}
	return t
}

// placeTree takes one tree's offset as the mean over places tried, weighted by
// the sights that pass it, which cost sights, its foot and the prior.
func (a *Alley) placeTree(k, tree int, sights [wallsums.TreePlaces]float64) treeOff {
	var cost [wallsums.TreePlaces]float64
	least := math.Inf(1)
	for i := range cost {
		off := float64(i-offSteps) * offStepM
		c := off * off / (2 * treeOffSDM * treeOffSDM)
		c += a.footCost(k, tree, off)
		c += sights[i] / sightsPerVote
		cost[i], least = c, math.Min(least, c)
	}
	var w, m, m2 float64
	for i, c := range cost {
		off, p := float64(i-offSteps)*offStepM, math.Exp(least-c)
		w, m, m2 = w+p, m+p*off, m2+p*off*off
	}
	m, m2 = m/w, m2/w
	return treeOff{m, math.Sqrt(math.Max(0, m2-m*m) + offStepM*offStepM/12)}
}

// off is how far a tree stands off the row's line, and the error of that.
func (r *alleyRow) off(tree int) (m, sdM float64) {
	if i := tree - r.first; i >= 0 && i < len(r.trees) {
		return r.trees[i].m, r.trees[i].sdM
	}
	return 0, treeOffSDM
}

// sightsPast are the sights that may meet a tree, from lo up to hi.
func (a *Alley) sightsPast(k, tree int) (lo, hi int) {
	r := &a.rows[k]
	y := r.firstM + float64(tree)*a.SpacingM
	in := math.Max(0.1, r.lineM-1.5*a.crown.halfDepthM)
	out := r.lineM + 1.5*a.crown.halfDepthM
	from, to := in/math.Max(0.5, y+a.SpacingM), out/math.Max(0.5, y-a.SpacingM)
	if r.side < 0 {
		from, to = -to, -from
	}
	rays := a.scene.Rays
	lo = sort.Search(len(rays), func(i int) bool { return rays[i].Right > from })
	hi = sort.Search(len(rays), func(i int) bool { return rays[i].Right >= to })
	return lo, hi
}

// footCost is what the tree's own foot says of its offset, nothing where no
// foot is seen.
func (a *Alley) footCost(k, tree int, off float64) float64 {
	r := &a.rows[k]
	if !r.known {
		return 0
	}
	y := r.firstM + float64(tree)*a.SpacingM
	best := 0.0
	for _, f := range a.scene.Feet {
		x := f.RightM * r.side
		if math.Abs(f.AheadM-y) > 2*footAlong(f) || f.Score < footLeastScore || math.Abs(x-r.lineM) > 0.5 {
			continue
		}
		d := (x - r.lineM - off) / (0.5 * footOffM)
		// A foot may be no foot: its say is bounded.
		best = math.Max(best, math.Min(f.Score, 1)*math.Log(0.1+0.9*math.Exp(-d*d/2))+2.4)
	}
	return -best
}

// jointSDM is the error of the mean clear width by a fit: of the sum of both lines
// less twice the face's depth, through their joint covariance.
func (a *Alley) jointSDM(cov *mat.SymDense) float64 {
	w := a.crown.halfDepthM
	var grad [alleyUnknowns]float64
	grad[uDepth], grad[uLeft], grad[uRight] = -2*w*faceOverDepth(&a.crown), 1, 1
	var v float64
	for i := range grad {
		for j := range grad {
			v += grad[i] * cov.At(i, j) * grad[j]
		}
	}
	return math.Sqrt(math.Max(v, 0))
}

func faceOverDepth(c *crown) float64 { return c.faceM(0, boardSliceM) / c.halfDepthM }

// lineAt is where a row's trees stand at a place along it, between two trees by
// the straight line between them.
func (r *alleyRow) lineAt(y, spacing float64) (m, sdM float64) {
	t := (y - r.firstM) / spacing
	k := int(math.Floor(t))
	w := t - float64(k)
	near, nearSD := r.off(k)
	far, farSD := r.off(k + 1)
	return r.lineM + (1-w)*near + w*far, math.Hypot((1-w)*nearSD, w*farSD)
}

// FaceRightM is the place of the right or left wall's face at a distance ahead
// of the camera, metres to the right of the camera (left is negative).
func (a *Alley) FaceRightM(right bool, aheadM float64) float64 {
	r := &a.rows[0]
	if right {
		r = &a.rows[1]
	}
	return r.side*a.faceOutM(r, aheadM, boardSliceM) + a.headingRad*aheadM
}

// boardSliceM: the leaves this far before and behind the board's plane count for
// the width at the board.
const boardSliceM = 0.25

// faceOutM is a face's distance outward from the camera's line along the rows.
func (a *Alley) faceOutM(r *alleyRow, aheadM, sliceM float64) float64 {
	line, _ := r.lineAt(aheadM, a.SpacingM)
	_, along := r.nearest(aheadM, a.SpacingM)
	return line - a.crown.faceM(along, sliceM)
}

// ClearAt is the clear width at a distance ahead of the camera, face to face:
// between the places where 2 % of the leaves within a metre of the innermost
// stand nearer to the alley, on each side.
func (a *Alley) ClearAt(aheadM float64) Estimate { return a.clear(aheadM, boardSliceM) }

// sideShare: both walls' errors are partly their own, partly one (the crowns' depth,
// the level line): a side's is between a half of the width's and 0.71 of it.
const sideShare = 0.7

// SideAt is how far the left or the right wall's face stands from the board's
// middle, which marks the alley's centre line. Negative where the wall reaches over it.
func (a *Alley) SideAt(right bool) Estimate {
	at := a.scene.BoardAheadM
	r := &a.rows[0]
	if right {
		r = &a.rows[1]
	}
	width := a.ClearAt(at)
	m := a.faceOutM(r, at, boardSliceM) - r.side*a.scene.BoardRightM + a.shiftM/2
	d := Z95 * sideShare * width.SD()
	e := Estimate{Value: m, Low95: m - d, High95: m + d}
	for _, p := range width.Parts {
		e.Parts = append(e.Parts, calibrate.Part{Name: p.Name, SD: sideShare * p.SD})
	}
	return e
}

func (a *Alley) clear(aheadM, sliceM float64) Estimate {
	m := a.shiftM + a.faceOutM(&a.rows[0], aheadM, sliceM) + a.faceOutM(&a.rows[1], aheadM, sliceM)
	_, l := a.rows[0].lineAt(aheadM, a.SpacingM)
	_, r := a.rows[1].lineAt(aheadM, a.SpacingM)
	sd := math.Sqrt(a.widthSDM*a.widthSDM + l*l + r*r + 2*faceLocalSDM*faceLocalSDM + a.formSDM*a.formSDM)
	return Estimate{
		Value: math.Max(m, 0), Low95: math.Max(0, m-Z95*sd), High95: math.Max(0, m+Z95*sd),
		Parts: calibrate.Joined([]calibrate.Part{
			{Name: PartDepth, SD: math.Hypot(a.widthSDM, a.formSDM)}, {Name: PartSampling, SD: math.Hypot(math.Hypot(l, r), math.Sqrt2*faceLocalSDM)},
		}),
	}
}
