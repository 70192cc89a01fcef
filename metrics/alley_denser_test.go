package metrics

import (
	"math"
	"testing"
)

// The short way to the chances behind denser crowns is the long one.
func TestDenserIsTheModels(t *testing.T) {
	a := &Alley{scene: AlleyScene{CameraHeightM: 1.5, BoardAheadM: 6}, exp: newExpTable(), SpacingM: 4}
	a.rows = [2]alleyRow{{side: -1, lineM: 2.5}, {side: 1, lineM: 2.7, firstM: 1}}
	f := newAlleyFit(a)
	for k := range 400 {
		f.rays = append(f.rays, AlleyRay{Right: -0.7 + 0.0035*float64(k), Up: -0.3 + 0.03*float64(k%30)})
		f.looks = append(f.looks, AlleyFloorLook{RightM: -2 + 0.01*float64(k), AheadM: 3 + 0.1*float64(k%50)})
	}
	u := f.mean
	u[uSunX], u[uSunY] = 0.5, -0.2
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
