package metrics

import (
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"
)

// drawnAlley is an alley of leaves strewn at random behind two faces, seen by sights
// from 1.6 m above its middle, each ending at the first leaf it passes near.
type drawnAlley struct {
	leaves [][3]float64 // right, ahead, up
	face   func(side int, aheadM float64) float64
}

const drawnLeafM = 0.06 // a leaf's radius

func drawAlley(rng *rand.Rand, face func(side int, aheadM float64) float64) *drawnAlley {
	a := &drawnAlley{face: face}
	const perSide = 9000
	for side := range 2 {
		for range perSide {
			y := 2 + 11*rng.Float64()
			out := face(side, y) + 1.6*math.Pow(rng.Float64(), 0.7) // thinner toward the alley
			a.leaves = append(a.leaves, [3]float64{float64(2*side-1) * out, y, 0.5 + 3*rng.Float64()})
		}
	}
	sort.Slice(a.leaves, func(i, j int) bool { return a.leaves[i][1] < a.leaves[j][1] })
	return a
}

// trueClear is the 2 % face's width by the leaves themselves, within a metre of the
// innermost (the definition of the rendered photos' truth).
func (a *drawnAlley) trueClear(fromM, toM float64) float64 {
	width := 0.0
	for side := range 2 {
		var out []float64
		for _, l := range a.leaves {
			if l[1] >= fromM && l[1] < toM && (l[0] > 0) == (side == 1) {
				out = append(out, math.Abs(l[0])-drawnLeafM)
			}
		}
		sort.Float64s(out)
		n := sort.SearchFloat64s(out, out[0]+1)
		width += out[n*2/100]
	}
	return width
}

func (a *drawnAlley) sights() []PairSight {
	var out []PairSight
	for i := range 150 {
		for j := range 110 {
			s := PairSight{Right: (float64(i) - 74.5) / 110, Up: (float64(j) - 40) / 110, AheadM: math.Inf(1)}
			if s.Up < -0.02 {
				s.AheadM = 1.6 / -s.Up
			}
			for _, l := range a.leaves {
				if l[1] > s.AheadM {
					break
				}
				if math.Hypot(s.Right*l[1]-l[0], 1.6+s.Up*l[1]-l[2]) < drawnLeafM {
					s.AheadM, s.Canopy = l[1], true
					break
				}
			}
			if s.Canopy {
				s.PatchPx, s.ClusterPx = 400, math.Pow(2*drawnLeafM/s.AheadM*110, 2)
			} else if !math.IsInf(s.AheadM, 1) {
				s.Canopy, s.PatchPx, s.ClusterPx = true, 1e5, 400 // the ground: lower than leaves count
			}
			out = append(out, s)
		}
	}
	return out
}

// The bounds are the for a pair: 12 cm at the board, 20 cm over the first
// 8 m, the pinch within 1 m; the interval must hold most truths.
func TestPairFacesOfADrawnAlley(t *testing.T) {
	if testing.Short() {
		t.Skip("casts 16500 sights through 18000 leaves, four times")
	}
	var errAt, errAlong float64
	inside, n := 0, 0
	const alleys = 4
	for k := range alleys {
		half, pinchAt := 0.9+0.2*float64(k), 4.5+0.8*float64(k)
		a := drawAlley(rand.New(rand.NewPCG(1, uint64(k))), func(side int, y float64) float64 {
			return half - 0.25*math.Exp(-(y-pinchAt)*(y-pinchAt)/2) + 0.05*math.Sin(2*y+float64(side))
		})
		f, err := FindFaces(&PairAlley{CameraHeightM: 1.6, BoardAheadM: 5.8, Sights: a.sights()})
		if err != nil {
			t.Fatal(err)
		}
		at, want := f.ClearAtBoard(), a.trueClear(5.55, 6.05)
		errAt += math.Abs(at.Value-want) / alleys
		for y := 3.0; y < 8; y++ {
			got, want := f.ClearBetween(y, y+1), a.trueClear(y, y+1)
			errAlong += math.Abs(got.Value-want) / (5 * alleys)
			if n++; got.Low95 <= want && want <= got.High95 {
				inside++
			}
		}
		if _, place := f.Narrowest(); math.Abs(place.Value-pinchAt) > 1 {
			t.Errorf("alley %d: pinch at %.1f m (%.1f to %.1f), true %.1f", k, place.Value, place.Low95, place.High95, pinchAt)
		}
	}
	t.Logf("mean error %.3f m at the board, %.3f m over the first 8 m, %d of %d inside", errAt, errAlong, inside, n)
	if errAt > 0.12 || errAlong > 0.20 {
		t.Errorf("mean error %.3f m at the board, %.3f m over the first 8 m", errAt, errAlong)
	}
	if inside < 16 { // of 20; fewer have a chance of 0.3 % at 95 %
		t.Errorf("%d of %d truths in their intervals", inside, n)
	}
}

func TestPairFacesWantLeavesOnBothSides(t *testing.T) {
	p := &PairAlley{CameraHeightM: 1.6, BoardAheadM: 6}
	for i := range 4000 {
		p.Sights = append(p.Sights, PairSight{Right: 0.2 + float64(i%50)/400, Up: float64(i/50)/300 - 0.1, AheadM: 5, Canopy: true, PatchPx: 300, ClusterPx: 100})
	}
	_, err := FindFaces(p)
	u, ok := AsUnusable(err)
	if !ok || !strings.Contains(u.Reason, "left wall") {
		t.Errorf("a wall on the right only: error %v", err)
	}
	if _, err := FindFaces(&PairAlley{}); err == nil {
		t.Error("no sights gave faces")
	}
}

// 2 % of a metre of even foliage that begins 1 m out lies at 1.02 m, whatever single
// strays stand in the open.
func TestPairFaceOfEvenFoliage(t *testing.T) {
	var d [pairLayers]float64
	for k := range d {
		if float64(k)*pairLayerM >= 1 {
			d[k] = 0.8
		}
	}
	if m, ok := pairFaceM(&d); !ok || math.Abs(m-1.02) > 1e-9 {
		t.Errorf("face at %.4f m, want 1.02", m)
	}
	d[10] = 0.8 * 0.3 // 0.3 / 40 layers: less than the share that begins the metre
	if m, _ := pairFaceM(&d); math.Abs(m-1.02) > pairLayerM {
		t.Errorf("with a stray at 0.25 m the face is at %.3f m", m)
	}
	var none [pairLayers]float64
	if _, ok := pairFaceM(&none); ok {
		t.Error("no foliage has a face")
	}
}

// A floor that rises 4 degrees ahead and 2 to the right is found from the sights
// that end on it, leaves beside it or not.
func TestPairGroundFindsASlope(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	ahead, right := math.Tan(4*math.Pi/180), math.Tan(2*math.Pi/180)
	p := &PairAlley{CameraHeightM: 1.6, BoardAheadM: 6}
	for range 4000 {
		x, y := 3*rng.Float64()-1.5, 1.5+8*rng.Float64()
		z := ahead*y + right*x + 0.02*rng.NormFloat64()
		if rng.IntN(3) == 0 { // a leaf over it
			z += 1.5 * rng.Float64()
		}
		p.Sights = append(p.Sights, PairSight{Right: x / y, Up: (z - 1.6) / y, AheadM: y, Canopy: true})
	}
	g := p.ground()
	for _, at := range [][2]float64{{0, 3}, {0.5, 6}, {-0.5, 9}} {
		if got, want := g.under(at[0], at[1]), ahead*at[1]+right*at[0]; math.Abs(got-want) > 0.03 {
			t.Errorf("floor at %v: %.3f m, want %.3f", at, got, want)
		}
	}
	if g := (&PairAlley{}).ground(); g != (groundPlane{}) {
		t.Errorf("no sights gave the floor %v", g)
	}
}
