package metrics

import (
	"math"
	"sort"
)

// The sun sees a tree from another side than the camera does, and draws what it sees on
// the ground: a leaf at height z hangs on the line from its shade toward the sun, and on
// the camera's line of sight. A leaf of the tree at the board must have shade where both
// lines meet within the crown's depth; one of a row behind need not.

// sunFall is how far shade falls for each metre of height, metres: along the row (right)
// and away from the camera.
type sunFall struct{ rightM, awayM float64 }

// ShadeSunLeastDeg is the sun's height under which shade on the ground tells no crown: the
// rows' runs together (a row 3 m high shades the next, 6 m off, at 27 degrees; half of that
// may still part trees).
const ShadeSunLeastDeg = 20.0

const (
	// fallStepDeg is the first step of the search for where the sun stands, fineStepDeg the
	// last: 2 degrees move the shade of 4 m by 0.14 m at most under a sun 45 degrees high.
	fallStepDeg, fineStepDeg = 8.0, 2.0
	// Directions that explain the shade as well within fallTie, and are fallApartDeg from
	// each other, are kept side by side: trees of a row stand evenly, and the shade of one
	// may be taken for its neighbour's.
	fallTie, fallApartDeg = 0.10, 24.0
	// leastFit is the least correlation of shade and crowns that is taken for a fit. Rows
	// under an even sky, the light parted all the same, reached 0.3 on the practice photos.
	leastFit = 0.40
	// trunkFallWeight is what a trunk's own shade counts, from nothing to seen all along,
	// against the crowns' correlation.
	trunkFallWeight = 0.15
	// crownLayerM are the layers that a sun ray is followed through; layerStop is how much of
	// it each stops at full foliage.
	crownLayerM, layerStop = 0.30, 1.2
	// casterOverM: what rows behind and hedges show over the level line ends there for the
	// most part, and casts its shade elsewhere.
	casterOverM = 0.5
	// rowShare of the way to the next row holds this row's shade.
	rowShare = 0.8
	// lookStep cells apart, the ground is compared with what the crowns would shade.
	lookStep = 3
	// fewGround places are too few to compare.
	fewGround = 100
	// A trunk's shade is looked for from trunkFromM of its foot for so long that the skirts'
	// begins.
	trunkFromM, trunkToM, trunkStepM = 0.25, 1.2, 0.05
)

// sunFit compares the ground's shade with the crowns that the photo shows.
type sunFit struct {
	p      *SidePlane
	g      *GroundShade
	share  []float32 // shadeShares
	leaf   []float32 // leafShare, a row of which holds wide squares
	wide   int
	across []int32   // the square of each column
	up     []int     // the first square of each row's squares
	zM     []float64 // the layers' heights
	trunkM float64
	deepM  float64 // half a crown's depth
	lookX  []float64
	lookY  []float64
	shaded []float64
	slope  float64 // metres of shade for each of height
}

// findFalls tells where the shade of the row falls; nil where the ground does not tell,
// more than one where several ways explain it alike.
func (t *SideTree) findFalls(g *GroundShade, share []float32, deepM float64) []sunFall {
	if g.SunElevationDeg < ShadeSunLeastDeg {
		return nil
	}
	f := &sunFit{p: t.Plane, g: g, share: share, trunkM: t.TrunkM, deepM: deepM,
		slope: 1 / math.Tan(g.SunElevationDeg*math.Pi/180)}
	f.leaf, f.wide = leafShare(f.p)
	f.layers()
	f.look()
	if len(f.lookX) < fewGround {
		return nil
	}
	type way struct{ deg, fit float64 }
	var ways []way
	for deg := 0.0; deg < 360; deg += fallStepDeg {
		ways = append(ways, way{deg, f.fit(deg)})
	}
	sort.SliceStable(ways, func(i, j int) bool { return ways[i].fit > ways[j].fit })
	var kept []way
	for _, w := range ways {
		if w.fit < leastFit || w.fit < ways[0].fit-fallTie {
			break
		}
		near := false
		for _, k := range kept {
			near = near || math.Abs(math.Remainder(k.deg-w.deg, 360)) < fallApartDeg
		}
		if !near {
			kept = append(kept, w)
		}
	}
	var out []sunFall
	for _, k := range kept {
		best := k
		for d := -fallStepDeg + fineStepDeg; d < fallStepDeg; d += fineStepDeg {
			if v := f.fit(k.deg + d); v > best.fit {
				best = way{k.deg + d, v}
			}
		}
		out = append(out, f.fall(best.deg))
	}
	return out
}

func (f *sunFit) fall(deg float64) sunFall {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return sunFall{f.slope * sin, f.slope * cos}
}

// look gathers the places of the ground that are compared.
func (f *sunFit) look() {
	for j := 0; j < f.g.H && f.g.BehindM(j) < rowShare*f.p.rowM(); j += lookStep {
		for i := 0; i < f.g.W; i += lookStep {
			if s := f.share[j*f.g.W+i]; s != unseenShade {
				f.lookX, f.lookY, f.shaded = append(f.lookX, f.g.XM(i)), append(f.lookY, f.g.BehindM(j)), append(f.shaded, float64(s))
			}
		}
	}
}

// fit is how well the crowns explain the shade if it falls toward deg (0 away from the
// camera, 90 to the right): the correlation, and the trunk's own shade.
func (f *sunFit) fit(deg float64) float64 {
	fall := f.fall(deg)
	var n, sp, ss, spp, sss, sps float64
	for k, s := range f.shaded {
		p, ok := f.predicted(f.lookX[k], f.lookY[k], fall)
		if !ok {
			continue
		}
		n++
		sp, ss = sp+p, ss+s
		spp, sss, sps = spp+p*p, sss+s*s, sps+p*s
	}
	vp, vs := n*spp-sp*sp, n*sss-ss*ss
	if n < fewGround || vp <= 0 || vs <= 0 {
		return 0
	}
	return (n*sps-sp*ss)/math.Sqrt(vp*vs) + trunkFallWeight*f.trunkShade(fall)
}

// layers lists the layers of the crowns, and which square of leaf each cell lies in.
func (f *sunFit) layers() {
	p := f.p
	n := p.cells(leafBoxM)
	f.across, f.up = make([]int32, p.W), make([]int, p.H)
	for i := range f.across {
		f.across[i] = int32(i / n)
	}
	for j := range f.up {
		f.up[j] = j / n * f.wide
	}
	for z := p.CameraHeightM + casterOverM; z < float64(p.H)*p.CellM; z += crownLayerM {
		f.zM = append(f.zM, z)
	}
}

// within are the layers in which the way to the sun from a place y behind the row's plane can
// lie within the crowns' depth, one more at each end.
func (f *sunFit) within(y, awayM float64) []float64 {
	if len(f.zM) == 0 || awayM == 0 {
		return f.zM
	}
	at := func(deepM float64) float64 { return ((y-deepM)/awayM - f.zM[0]) / crownLayerM }
	lo, hi := at(f.deepM), at(-f.deepM)
	if lo > hi {
		lo, hi = hi, lo
	}
	most := float64(len(f.zM))
	first := int(math.Max(0, math.Min(most, lo-1)))
	return f.zM[first:max(first, int(math.Max(0, math.Min(most, hi+2))))]
}

// predicted is the chance that the row's crowns keep the sun from a place of the ground;
// ok is false where its way to the sun leaves what the photo shows of the row.
func (f *sunFit) predicted(x, y float64, fall sunFall) (chance float64, ok bool) {
	p := f.p
	hits := 0.0
	for _, z := range f.within(y, fall.awayM) {
		px, py := x-z*fall.rightM, y-z*fall.awayM
		w := 1 - (py/f.deepM)*(py/f.deepM)
		if w <= 0 {
			continue
		}
		q := p.DistanceM / (p.DistanceM + py)
		drawnX, drawnZ := p.CameraXM+(px-p.CameraXM)*q, p.CameraHeightM+(z-p.CameraHeightM)*q
		i, j := int((drawnX-p.LeftM)/p.CellM), int(drawnZ/p.CellM)
		if i < 0 || i >= p.W || drawnX < p.LeftM {
			return 0, false
		}
		if j >= 0 && j < p.H {
			hits += w * float64(f.leaf[f.up[j]+int(f.across[i])])
		}
	}
	return 1 - math.Exp(-layerStop*hits), true
}

// trunkShade is the mean shade along the line on which the trunk's own falls; 0 where it
// is not seen.
func (f *sunFit) trunkShade(fall sunFall) float64 {
	var sum, n float64
	for d := trunkFromM; d < trunkToM; d += trunkStepM {
		if s := shadeAt(f.g, f.share, f.trunkM+d*fall.rightM/f.slope, d*fall.awayM/f.slope); s != unseenShade {
			sum, n = sum+float64(s), n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// shadeAt is the share of shade at a place; unseenShade outside.
func shadeAt(g *GroundShade, share []float32, x, y float64) float32 {
	i, j := int(math.Floor((x-g.LeftM)/g.CellM)), int(math.Floor((y-g.NearM)/g.CellM))
	if i < 0 || j < 0 || i >= g.W || j >= g.H {
		return unseenShade
	}
	return share[j*g.W+i]
}

// leafShare is the share of foliage in squares of leafBoxM, of which one row holds wide.
func leafShare(p *SidePlane) (share []float32, wide int) {
	n := p.cells(leafBoxM)
	wide = (p.W + n - 1) / n
	share = make([]float32, wide*((p.H+n-1)/n))
	for j := range p.H {
		row := share[j/n*wide:][:wide]
		for i, k := range p.Kind[j*p.W : (j+1)*p.W] {
			if k == SideFoliage {
				row[i/n] += 1 / float32(n*n)
			}
		}
	}
	return share, wide
}

// leafBoxM: a leaf and the gap beside it.
const leafBoxM = 0.20
