package metrics

import (
	"fmt"
	"math"
)

// PairSight is one line of sight of the first photo of a pair whose end is known:
// how far it goes to the right and up for each metre ahead, and where it ends.
type PairSight struct {
	Right, Up float64 // metres for each metre ahead
	AheadM    float64 // where it ends; +Inf for the sky
	Canopy    bool    // it ends on leaf or wood
	// PatchPx is how many sights end in one patch with this one, at depths that hang
	// together, and ClusterPx how many end on a cluster of leaves so far off.
	PatchPx, ClusterPx float64
}

// PairAlley is an alley as a pair of photos shows it: metres to the right of the
// first camera, ahead of it and above the ground.
type PairAlley struct {
	CameraHeightM            float64
	BoardRightM, BoardAheadM float64
	Sights                   []PairSight
}

const (
	// The alley is cut into slices ahead, bands of height and layers outward from
	// its middle.
	pairNearM, pairFarM = 2.5, 12.5
	pairSliceM          = 0.25
	pairLayerM          = 0.025
	pairAsideM          = 4.0
	pairBandM           = 1.0
	pairBands           = 4
	pairLowM            = 0.25 // lower is ground, litter and grass
	pairStepM           = 0.125
	pairSlices          = int((pairFarM - pairNearM) / pairSliceM)
	pairLayers          = int(pairAsideM / pairLayerM)
)

// layers holds, for one piece of a wall, what is met in each layer outward.
type layers struct {
	hits [pairLayers]float64 // sights that end on canopy there
	path [pairLayers]float64 // metres that sights run through it
	// patch sums the hits' patches, none larger than a cluster of leaves: over the
	// hits it is the size of one finding.
	patch float64
	// run is all of path, and runAhead2, hitsAhead2 weigh path and hits by their
	// distance squared: a leaf so far off fills as many sights fewer.
	run, runAhead2, hitsAhead2 float64
}

func (l *layers) add(o *layers) {
	for k := range o.hits {
		l.hits[k] += o.hits[k]
		l.path[k] += o.path[k]
	}
	l.patch += o.patch
	l.run += o.run
	l.runAhead2 += o.runAhead2
	l.hitsAhead2 += o.hitsAhead2
}

func (l *layers) total() (n float64) {
	for _, h := range l.hits {
		n += h
	}
	return n
}

// findings is how many independent findings the hits are.
func (l *layers) findings() float64 {
	n := l.total()
	if l.patch <= 0 {
		return 0
	}
	return n * n / l.patch
}

// wall is one side of the alley.
type wall struct {
	side float64 // -1 left, 1 right
	at   [pairSlices][pairBands]layers
}

// slice is all bands of a slice.
func (w *wall) slice(i int) *layers {
	var out layers
	for b := range w.at[i] {
		out.add(&w.at[i][b])
	}
	return &out
}

// walls runs every sight through the layers of both sides. Sights that end in a
// patch smaller than leastPx are not believed.
func (p *PairAlley) walls(leastPx float64) [2]*wall {
	out := [2]*wall{{side: -1}, {side: 1}}
	floor := p.ground()
	for _, s := range p.Sights {
		if s.Canopy && s.PatchPx < leastPx {
			continue
		}
		length := pairStepM * math.Sqrt(1+s.Right*s.Right+s.Up*s.Up)
		for y := pairNearM + pairStepM/2; y < pairFarM && y < s.AheadM; y += pairStepM {
			if l, k := p.layerAt(out, floor, s, y); l != nil {
				l.path[k] += length
				l.run += length
				l.runAhead2 += length * y * y
			}
		}
		if !s.Canopy {
			continue
		}
		if l, k := p.layerAt(out, floor, s, s.AheadM); l != nil {
			l.hits[k]++
			l.patch += math.Min(s.PatchPx, s.ClusterPx)
			l.hitsAhead2 += s.AheadM * s.AheadM
		}
	}
	return out
}

func (p *PairAlley) layerAt(walls [2]*wall, floor groundPlane, s PairSight, y float64) (*layers, int) {
	x := s.Right*y - p.BoardRightM
	z := p.CameraHeightM + s.Up*y - floor.under(x, y)
	slice := int(math.Floor((y - pairNearM) / pairSliceM))
	band, layer := int(z/pairBandM), int(math.Abs(x)/pairLayerM)
	if slice < 0 || slice >= pairSlices || z < pairLowM || band >= pairBands || layer >= pairLayers {
		return nil, 0
	}
	side := 0
	if x > 0 {
		side = 1
	}
	return &walls[side].at[slice][band], layer
}

const (
	// pairFaceShare: the face stands where this share of the foliage within a metre of
	// the innermost hangs nearer the alley (what a tape would call the face).
	pairFaceShare, pairWithinM = 0.02, 1.0
	// pairEdgeShare only says where the metre begins: an edge 0.1 m off moves the
	// face by a tenth of the way from 1.8 to 2 %.
	pairEdgeShare = 0.01
	// pairPathM: a layer that sights run through for less is not known.
	pairPathM = 3.0
)

// density is leaf met for each metre of sight, by layer, from Beer and Lambert's
// law: hits over path is the maximum-likelihood estimate. Layers behind the last
// known one are taken to be as dense as it is.
func (l *layers) density() (d [pairLayers]float64) {
	last := 0.0
	for k := range d {
		if l.path[k] >= pairPathM {
			d[k] = l.hits[k] / l.path[k]
		} else if k > 0 {
			d[k] = last
		}
		last = d[k]
	}
	return d
}

// pairFaceM is where a density profile has its face, metres outward; ok is false
// for no foliage. The metre that counts begins where pairEdgeShare of the densest
// metre lies farther in: single wrong matches in the open alley do not begin it.
func pairFaceM(d *[pairLayers]float64) (m float64, ok bool) {
	const metre = int(pairWithinM / pairLayerM)
	sumOf := func(from int) (s float64) {
		for _, v := range d[from:min(pairLayers, from+metre)] {
			s += v
		}
		return s
	}
	densest := 0.0
	for k := range d {
		densest = math.Max(densest, sumOf(k))
	}
	edge := int(quantileLayer(d[:], pairEdgeShare*densest))
	if densest == 0 || edge >= pairLayers {
		return 0, false
	}
	return quantileLayer(d[:], pairFaceShare*sumOf(edge)) * pairLayerM, true
}

// quantileLayer is where the running sum reaches want, in layers.
func quantileLayer(d []float64, want float64) float64 {
	sum := 0.0
	for k, v := range d {
		if sum+v >= want && v > 0 {
			return float64(k) + (want-sum)/v
		}
		sum += v
	}
	return float64(len(d))
}

const (
	// believePx are the least sizes of patches tried, in sights: wrong matches hang
	// together by chance, rarely more than a few pixels of the matcher's block
	// (seen on practice_alley_00 to 02; the larger ones where the photos share
	// little).
	believePx, believeMostPx, believeStep = 25.0, 100.0, 1.5
	// openHalfM to each side of the board is open all along an alley that people
	// walk. strayMost is the density that may be met there, over the walls'.
	openHalfM, strayMost = 0.35, 0.0005
	// strayWorst: with more there either no one could have walked up to the board, or
	// the two photos were laid together wrongly.
	strayWorst = 0.01
)

// believable returns the walls with the smallest patches that leave the alley's
// middle open.
func (p *PairAlley) believable() (walls [2]*wall) {
	for px := believePx; ; px *= believeStep {
		walls = p.walls(px)
		if px*believeStep > believeMostPx || max(walls[0].stray(), walls[1].stray()) < strayMost {
			return walls
		}
	}
}

// openMiddle refuses walls whose middle is not open.
func openMiddle(walls [2]*wall) error {
	s := max(walls[0].stray(), walls[1].stray())
	if s < strayWorst {
		return nil
	}
	return &Unusable{
		Reason: fmt.Sprintf("the two photos show leaves in the middle of the alley, %.1f %% as dense as in its walls, %.1f %% at most can be", 100*s, 100*strayWorst),
		Mend:   "take both photos of the same alley, level, a step (0.4 to 0.7 m) apart, with nothing moving between them",
	}
}

// stray is the density met in the open middle over the wall's densest layer's.
func (w *wall) stray() float64 {
	all := w.all()
	d := all.density()
	peak, hits, path := 0.0, 0.0, 0.0
	for k, v := range d {
		peak = math.Max(peak, v)
		if float64(k+1)*pairLayerM <= openHalfM {
			hits, path = hits+all.hits[k], path+all.path[k]
		}
	}
	if peak == 0 || path == 0 {
		return 0
	}
	return hits / path / peak
}

// all is the whole wall.
func (w *wall) all() *layers {
	var out layers
	for i := range w.at {
		out.add(w.slice(i))
	}
	return &out
}

// leastFindings of a wall: fewer leaves than this in all tell nothing.
const leastFindings = 12

func (w *wall) enough() error {
	if n := w.all().findings(); n < leastFindings {
		name := map[bool]string{true: "left", false: "right"}[w.side < 0]
		return &Unusable{
			Reason: fmt.Sprintf("only %.0f leaves of the %s wall were found in both photos, %d needed", n, name, leastFindings),
			Mend:   "take the second photo a step (0.4 to 0.7 m) to the side of the first, pointing the same way",
		}
	}
	return nil
}
