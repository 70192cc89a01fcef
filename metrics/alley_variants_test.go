package metrics

import (
	"math"
	"testing"
)

// sightedAlley is a fit over sights and looks all over an alley.
func sightedAlley() (*alleyFit, [alleyUnknowns]float64) {
	a := &Alley{scene: AlleyScene{CameraHeightM: 1.5, BoardAheadM: 6}, exp: newExpTable(), SpacingM: 4}
	a.rows = [2]alleyRow{{side: -1, lineM: 2.5}, {side: 1, lineM: 2.7, firstM: 1}}
	f := newAlleyFit(a)
	for k := range 400 {
		f.rays = append(f.rays, AlleyRay{Right: -0.7 + 0.0035*float64(k), Up: -0.3 + 0.03*float64(k%30)})
		f.looks = append(f.looks, AlleyFloorLook{RightM: -2 + 0.01*float64(k), AheadM: 3 + 0.1*float64(k%50)})
	}
	u := f.mean
	u[uSunX], u[uSunY] = 0.5, -0.2
	return f, u
}

// The short way to the chances behind denser crowns is the long one.
func TestDenserIsTheModels(t *testing.T) {
	f, u := sightedAlley()
	const h = 0.01
	denser := u
	denser[uPerM] += h
	want := f.chances(denser)
	for i, got := range f.denser(f.chances(u), h) {
		if math.Abs(got-want[i]) > 1e-9 {
			t.Fatalf("chance %d: %.12f, want %.12f", i, got, want[i])
		}
	}
}

// Variants at once are each of them in turn, where crowns' tops and feet are close
// together too.
func TestVariantsAreTheModels(t *testing.T) {
	f, u := sightedAlley()
	for _, top := range []float64{u[uTop], u[uBase] + 0.01, math.Log(8)} {
		u[uTop] = top
		const h = 0.01
		for i, got := range f.variantChances(u, h) {
			changed := u
			changed[variantUnknowns()[i]] += h
			for k, want := range f.sightChances(changed, nil, -1) {
				if math.Abs(got[k]-want) > 1e-12 {
					t.Fatalf("top %g, variant %d, sight %d: %.14f, want %.14f", top, i, k, got[k], want)
				}
			}
		}
	}
}
