package calibrate

import (
	"math"
	"testing"
)

// The parts' squares must add up to what Propagate gives, whatever the length, with
// and without a calibrated lens and a mirrored pose.
func TestPartsAddUp(t *testing.T) {
	cam := PriorCamera(2400, 1800, 26)
	var seen []MarkerSighting
	turn := Rotation(Vec3{0.05, 0.35, 0.02})
	for id := range 4 {
		corners, _ := MarkerCorners(id)
		m := MarkerSighting{ID: id}
		for i, c := range corners {
			m.Corners[i], _ = cam.Project(turn.MulVec(c).Add(Vec3{0.4, 0.8, 6}))
			m.Corners[i].X += 0.2 * math.Sin(float64(7*id+3*i)) // noise, the same each time
			m.Corners[i].Y += 0.2 * math.Cos(float64(5*id+2*i))
		}
		seen = append(seen, m)
	}
	b, err := SolveBoard(cam, seen, PoseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	lens := *b
	lens.Camera.Spread = &LensSpread{}
	lens.Camera.Spread.Cov[0][0], lens.Camera.Spread.Cov[2][2] = 4, 1e-4
	mirror := *b
	mirror.Alternate, mirror.AlternateWeight = mirrored(b), 0.2
	heightOf := func(p Pixel) func(*BoardPose) float64 {
		return func(b *BoardPose) float64 {
			hit, _ := b.Face().Intersect(b.Camera.Ray(p))
			return -b.ToBoard(hit)[1]
		}
	}
	for name, pose := range map[string]*BoardPose{"plain": b, "with a lens": &lens, "with a mirror": &mirror} {
		fn := heightOf(Pixel{1300, 150})
		var sum float64
		names := map[string]bool{}
		for _, p := range pose.Breakdown(fn) {
			sum += p.SD * p.SD
			names[p.Name] = true
		}
		want := pose.Propagate(fn).SDM
		if math.Abs(math.Sqrt(sum)-want) > 1e-9*want {
			t.Errorf("%s: parts add up to %.6f m, want %.6f", name, math.Sqrt(sum), want)
		}
		if !names[PartCorners] || !names[PartFocal] || !names[PartScale] || names[PartLens] != (name == "with a lens") || names[PartPose] != (name == "with a mirror") {
			t.Errorf("%s: parts %v", name, names)
		}
	}
}

func TestJoinedAddsSquares(t *testing.T) {
	got := Joined([]Part{{"a", 3}, {"b", 1}}, []Part{{"a", 4}, {"c", 0}})
	if len(got) != 2 || got[0] != (Part{"a", 5}) || got[1] != (Part{"b", 1}) {
		t.Errorf("joined to %v", got)
	}
}
