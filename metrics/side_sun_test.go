package metrics

import (
	"math"
	"testing"
)

// round is a crown of revolution on the ground: where it stands and how wide it is at a
// height.
type round struct {
	xM, behindM float64
	radiusM     func(zM float64) float64
}

const sceneHighM = 5.0

// shadedGround is the ground under a sun whose light falls toward fallDeg (0 away from the
// camera, 90 to the right), each cell by its own way to the sun.
func shadedGround(elevationDeg, fallDeg float64, trees []round) *GroundShade {
	g := &GroundShade{W: 120, H: 120, CellM: 0.1, LeftM: -6, NearM: -6, SunElevationDeg: elevationDeg}
	g.State = make([]GroundState, g.W*g.H)
	sin, cos := math.Sincos(fallDeg * math.Pi / 180)
	slope := 1 / math.Tan(elevationDeg*math.Pi/180)
	for k := range g.State {
		g.State[k] = GroundSunlit
		for z := 0.0; z < sceneHighM && g.State[k] == GroundSunlit; z += 0.1 {
			x, y := g.XM(k%g.W)-z*slope*sin, g.BehindM(k/g.W)-z*slope*cos
			for _, t := range trees {
				r := t.radiusM(z)
				if z < 1.5 {
					r = max(r, 0.1) // its trunk
				}
				if (x-t.xM)*(x-t.xM)+(y-t.behindM)*(y-t.behindM) < r*r {
					g.State[k] = GroundShaded
				}
			}
		}
	}
	return g
}

// withTreeBehind is the tree of drawnTree, and another whose crown, of the same form and
// seen beside it, stands a row of 6 m back.
func withTreeBehind(xM float64) (p *SidePlane, trees []round) {
	const high, away, back = 1.5, 7.0, 6.0
	p = drawnTree(high, away, ellipsoid)
	p.RowSpacingM = back
	k := away / (away + back)
	for z := 0.9; z < 4.3; z += 0.005 {
		if r := ellipsoid(z); r > 0 {
			paint(p, (xM-r)*k, (xM+r)*k, high+(z-high)*k-0.01, high+(z-high)*k+0.01, SideFoliage)
		}
	}
	return p, []round{{0.4, 0, ellipsoid}, {xM, back, ellipsoid}}
}

// The direction comes back from the shade, to within the crowns' own roundness: a crown
// 1.2 m in radius, its middle 2.6 m up, whose shade falls 2.6 m off is moved by 0.27 m by 6
// degrees, less than a quarter of its radius.
func TestShadeTellsWhereTheSunStands(t *testing.T) {
	for _, fall := range []float64{0, 35, 80, 145, 180, 250, 310} {
		p, trees := withTreeBehind(2.6)
		p.Ground = shadedGround(45, fall, trees)
		tree, err := cutOut(p, findTrunks(p))
		if err != nil {
			t.Fatal(err)
		}
		found := tree.findFalls(p.Ground, p.Ground.shadeShares(), 1.2)
		if len(found) == 0 {
			t.Errorf("light toward %.0f degrees was not found", fall)
			continue
		}
		got := math.Atan2(found[0].rightM, found[0].awayM) * 180 / math.Pi
		if off := math.Abs(math.Remainder(got-fall, 360)); off > 6 {
			t.Errorf("light toward %.0f degrees was found toward %.0f", fall, got)
		}
		if l := math.Hypot(found[0].rightM, found[0].awayM); math.Abs(l-1) > 1e-9 {
			t.Errorf("under a sun 45 degrees high shade falls %.3f m off for each metre, want 1", l)
		}
	}
}

// No leaf of the tree itself may be called another's, whatever way the light falls.
func TestShadeTakesNoLeafFromItsOwnTree(t *testing.T) {
	for _, elevation := range []float64{35, 60} {
		for fall := 0.0; fall < 360; fall += 60 {
			p := drawnTree(1.5, 7, ellipsoid)
			p.Ground = shadedGround(elevation, fall, []round{{0.4, 0, ellipsoid}})
			tree, err := cutOut(p, findTrunks(p))
			if err != nil {
				t.Fatal(err)
			}
			share := p.Ground.shadeShares()
			falls := tree.findFalls(p.Ground, share, 1.2)
			if len(falls) == 0 {
				continue
			}
			none := tree.newSunless(p.Ground, share, falls, 1.2)
			lost, all := 0, 0
			for j := range p.H {
				for i := range p.W {
					if tree.foliage.in[j*p.W+i] {
						all++
						if none.at(p.XM(i), p.ZM(j)) {
							lost++
						}
					}
				}
			}
			// The raster's own step, 5 cm on a rim 7.5 m round of 5 m2, is under 4 %.
			if float64(lost) > 0.04*float64(all) {
				t.Errorf("sun %.0f degrees high, light toward %.0f: %d of %d cells of the tree lost", elevation, fall, lost, all)
			}
		}
	}
}

// Where a tree behind shows beside the crown as green as its own leaves, the ground's shade
// tells its width: 2.4 m, to a tenth (the two cells of 5 cm a side, and the slack given to
// the crown's depth).
func TestShadeTellsTheWidthBesideATreeBehind(t *testing.T) {
	for _, fall := range []float64{20, 180, 335} {
		p, trees := withTreeBehind(2.6)
		blind, err := FindSideTree(p)
		if err != nil {
			t.Fatal(err)
		}
		p.Ground = shadedGround(50, fall, trees)
		tree, err := FindSideTree(p)
		if err != nil {
			t.Fatal(err)
		}
		w, without := tree.Width(), blind.Width()
		if math.Abs(w.M-2.4) > 0.24 {
			t.Errorf("light toward %.0f: width %.2f m, want 2.4 (%.2f without the ground)", fall, w.M, without.M)
		}
		if math.Abs(w.M-2.4) > 2*w.SDM {
			t.Errorf("light toward %.0f: width %.2f m with an error of %.2f does not hold 2.4", fall, w.M, w.SDM)
		}
	}
}

// Ground under one light, and ground that is hardly seen, leaves the tree as it is.
func TestGroundThatTellsNothingChangesNothing(t *testing.T) {
	p, trees := withTreeBehind(2.6)
	want, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	even := shadedGround(50, 20, nil)
	unseen := shadedGround(50, 20, trees)
	for k := range unseen.State {
		if k%unseen.W > 5 {
			unseen.State[k] = GroundUnseen
		}
	}
	low := shadedGround(10, 20, trees)
	for name, g := range map[string]*GroundShade{"even": even, "unseen": unseen, "low sun": low} {
		p.Ground = g
		got, err := FindSideTree(p)
		if err != nil {
			t.Fatal(err)
		}
		if got.Width().M != want.Width().M || got.Width().SDM != want.Width().SDM {
			t.Errorf("%s: width %.3f +- %.3f m, want %.3f +- %.3f", name, got.Width().M, got.Width().SDM, want.Width().M, want.Width().SDM)
		}
	}
}
