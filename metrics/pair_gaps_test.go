package metrics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// wallSights look at two walls 1.2 m to either side of the camera's line, leaves half a
// metre deep; open says where the right one has none and the sights run through to sky.
func wallSights(rng *rand.Rand, open func(aheadM float64) bool) []PairSight {
	var out []PairSight
	for i := range 240 {
		for j := range 60 {
			s := PairSight{Right: (float64(i) - 119.5) / 240, Up: float64(j)/150 - 0.1, PatchPx: 400}
			s.AheadM = (1.2 + 0.5*rng.Float64()) / math.Abs(s.Right)
			s.Canopy = s.Right < 0 || !open(s.AheadM)
			if !s.Canopy {
				s.AheadM = math.Inf(1)
			}
			s.ClusterPx = math.Pow(30/s.AheadM, 2)
			out = append(out, s)
		}
	}
	return out
}

// Where sights run through between two trees the face falls back from the wall's; where
// nothing was looked at (no sights at all) it stays at the wall's.
func TestPairFaceFallsBackWhereSightsRunThrough(t *testing.T) {
	gap := func(y float64) bool { return y > 5 && y < 7 }
	seen := wallSights(rand.New(rand.NewPCG(1, 1)), gap)
	var unseen []PairSight
	for _, s := range seen {
		if s.Right < 0 || s.AheadM < 5 {
			unseen = append(unseen, s)
		}
	}
	const inGapM, inWallM = 6.0, 4.0
	back := func(sights []PairSight) float64 {
		f, err := FindFaces(&PairAlley{CameraHeightM: 1.6, BoardAheadM: 6, Sights: sights})
		if err != nil {
			t.Fatal(err)
		}
		return f.FaceM(true, inGapM) - f.FaceM(true, inWallM)
	}
	// 0.15 m is one standard deviation of the evenest wall that is thought of.
	if m := back(seen); m < 0.15 {
		t.Errorf("a gap with sky in it stands %.2f m back from the wall", m)
	}
	if m := back(unseen); math.Abs(m) > 0.15 {
		t.Errorf("a piece of wall that nobody looked at stands %.2f m back", m)
	}
}
