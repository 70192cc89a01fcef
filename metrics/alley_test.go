package metrics

import (
	"math"
	"testing"
)

// sightStep is the pipeline's: 56 sights over the longer side of a 26 mm lens's view,
// 2 x 18/26 wide.
const sightStep = 2 * 18.0 / 26 / 56

// boxAlley casts sights at two opaque hedges with plane faces: nothing of the
// fitted model's soft crowns is in it. Trunks stand footM from the middle.
func boxAlley(faceM, footM, baseM, topM float64) AlleyScene {
	const h = 1.6
	s := AlleyScene{CameraHeightM: h, BoardAheadM: 6}
	for up := -0.55; up < 0.6; up += sightStep {
		for right := -0.69; right < 0.7; right += sightStep {
			if math.Abs(up) < 0.05 {
				continue
			}
			s.Rays = append(s.Rays, AlleyRay{right, up, meetsBox(right, up, h, faceM, 2*footM-faceM, baseM, topM)})
		}
	}
	for y := 2.7; y < 18; y += 2.6 {
		s.Feet = append(s.Feet, AlleyFoot{-footM, y, 2}, AlleyFoot{footM, y + 1, 2})
	}
	return s
}

func meetsBox(right, up, h, faceM, backM, baseM, topM float64) bool {
	for x := faceM; x < backM; x += 0.02 {
		y := x / math.Max(math.Abs(right), 1e-6)
		if z := h + up*y; z > baseM && z < topM {
			return true
		}
	}
	return false
}

// hedges are of several depths and skirts, in common practice's range.
func hedges() []struct{ face, foot, base, top float64 } {
	return []struct{ face, foot, base, top float64 }{
		{0.9, 1.6, 0.6, 4.2}, {1.2, 1.9, 0.2, 3.5}, {1.9, 2.6, 0.2, 3.4}, {1.5, 2.3, 0.6, 4.0}, {1.3, 2.7, 0.5, 4.4},
	}
}

// The truth is the boxes' own width. Plane walls are harder than leaves for a
// model of separate crowns: nothing moves against the trunks, so that the depth
// is open, and the interval must say so.
func TestFitAlleyFindsPlaneHedges(t *testing.T) {
	for _, c := range hedges() {
		a, err := FitAlley(boxAlley(c.face, c.foot, c.base, c.top))
		if err != nil {
			t.Fatal(err)
		}
		got := a.ClearAt(6)
		if got.Low95 > 2*c.face || got.High95 < 2*c.face {
			t.Errorf("faces at %.1f m: clear %.2f [%.2f %.2f], truth %.2f", c.face, got.Value, got.Low95, got.High95, 2*c.face)
		}
		if math.Abs(a.SpacingM-2.6) > 0.1 {
			t.Errorf("spacing %.2f m, the trunks stand 2.6 m apart", a.SpacingM)
		}
	}
}

// shadeOf adds which floor the boxes keep the sun from; the sun stands so many
// metres to the right and ahead for each metre up.
func shadeOf(s AlleyScene, faceM, footM, baseM, topM, sunX, sunY float64) AlleyScene {
	s.SunElevationDeg = math.Atan(1/math.Hypot(sunX, sunY)) * 180 / math.Pi
	for y := 2.4; y < 10; y += 0.3 {
		for x := -5.0; x < 5; x += 0.2 {
			shade := false
			for z := baseM; z < topM && !shade; z += 0.05 {
				across := math.Abs(x + sunX*z)
				shade = across > faceM && across < 2*footM-faceM
			}
			s.Floor = append(s.Floor, AlleyFloorLook{x, y, shade})
		}
	}
	return s
}

// The sun sees the hedges from the other side. The bound is the for one
// photo, 0.25 m.
func TestShadeOnTheFloorTellsHowDeepTheHedgesAre(t *testing.T) {
	var sum, n float64
	for i, c := range hedges() {
		sun := [2]float64{0.5 - 0.2*float64(i), 0.3}
		s := shadeOf(boxAlley(c.face, c.foot, c.base, c.top), c.face, c.foot, c.base, c.top, sun[0], sun[1])
		a, err := FitAlley(s)
		if err != nil {
			t.Fatal(err)
		}
		got := a.ClearAt(6)
		sum, n = sum+math.Abs(got.Value-2*c.face), n+1
		if got.Low95 > 2*c.face || got.High95 < 2*c.face {
			t.Errorf("faces at %.1f m: clear %.2f [%.2f %.2f], truth %.2f", c.face, got.Value, got.Low95, got.High95, 2*c.face)
		}
	}
	if sum/n > 0.25 {
		t.Errorf("mean error %.2f m, at most 0.25", sum/n)
	}
}

func TestFitAlleyLooksTheSameInAMirror(t *testing.T) {
	s := boxAlley(1.2, 1.9, 0.3, 3.5)
	m := s
	m.Rays, m.Feet = nil, nil
	for _, r := range s.Rays {
		m.Rays = append(m.Rays, AlleyRay{-r.Right, r.Up, r.Canopy})
	}
	for _, f := range s.Feet {
		m.Feet = append(m.Feet, AlleyFoot{-f.RightM, f.AheadM, f.Score})
	}
	a, err := FitAlley(s)
	if err != nil {
		t.Fatal(err)
	}
	b, err := FitAlley(m)
	if err != nil {
		t.Fatal(err)
	}
	// Each row's line is searched in steps of 3 cm, so both together differ by 6; the
	// starts' weights may move by as much again.
	if x, y := a.ClearAt(6).Value, b.ClearAt(6).Value; math.Abs(x-y) > 0.12 {
		t.Errorf("clear %.3f m, mirrored %.3f m", x, y)
	}
}

func TestFitAlleyRefusesWhatIsNoAlley(t *testing.T) {
	open := boxAlley(1.2, 1.9, 0.3, 3.5)
	for i := range open.Rays {
		open.Rays[i].Canopy = false
	}
	thicket := boxAlley(1.2, 1.9, 0.3, 3.5)
	for i := range thicket.Rays {
		thicket.Rays[i].Canopy = true
	}
	for name, s := range map[string]AlleyScene{"lawn": open, "thicket": thicket, "nothing": {}} {
		if _, err := FitAlley(s); err == nil {
			t.Errorf("%s: not refused", name)
		} else if _, ok := AsUnusable(err); !ok {
			t.Errorf("%s: %v is no Unusable", name, err)
		}
	}
}

// Without feet the walls' depth is open, and the interval must say so.
func TestFitAlleyIsLessSureWithoutFeet(t *testing.T) {
	s := boxAlley(1.2, 1.9, 0.3, 3.5)
	a, err := FitAlley(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Feet = nil
	b, err := FitAlley(s)
	if err != nil {
		t.Fatal(err)
	}
	if b.FeetSeen != 0 || b.ClearAt(6).SD() <= a.ClearAt(6).SD() {
		t.Errorf("sd %.3f m with feet, %.3f m without", a.ClearAt(6).SD(), b.ClearAt(6).SD())
	}
}

func TestNarrowestFindsAPinch(t *testing.T) {
	a, err := FitAlley(boxAlley(1.2, 1.9, 0.3, 3.5))
	if err != nil {
		t.Fatal(err)
	}
	// One tree of the left row moved 0.5 m into the alley.
	k, _ := a.rows[0].nearest(8, a.SpacingM)
	a.rows[0].trees[k-a.rows[0].first].m = -0.5
	at := a.rows[0].firstM + float64(k)*a.SpacingM
	width, ahead := a.Narrowest()
	if math.Abs(ahead.Value-at) > 0.5 || width.Value > a.ClearAt(4).Value-0.3 {
		t.Errorf("narrowest %.2f m at %.1f m, the tree stands at %.1f m", width.Value, ahead.Value, at)
	}
}

// The board's middle marks the centre line: both sides together are the width.
func TestSidesAddUpToTheWidth(t *testing.T) {
	s := boxAlley(1.2, 1.9, 0.3, 3.5)
	s.BoardRightM = 0.15
	a, err := FitAlley(s)
	if err != nil {
		t.Fatal(err)
	}
	left, right, all := a.SideAt(false), a.SideAt(true), a.ClearAt(s.BoardAheadM)
	if math.Abs(left.Value+right.Value-all.Value) > 1e-9 {
		t.Errorf("%.3f m left and %.3f m right of the board, %.3f m in all", left.Value, right.Value, all.Value)
	}
	// The walls stand alike to both sides of the camera, the board 0.15 m to the
	// right of it: the left side is 0.30 m the wider. Lines are searched in 3 cm.
	if d := left.Value - right.Value; math.Abs(d-0.30) > 0.12 {
		t.Errorf("the left side is %.2f m wider, 0.30 drawn", d)
	}
}
