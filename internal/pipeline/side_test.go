package pipeline

import (
	"math"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
)

// sideShot is a grey photo with the markers of board 3 as a camera at height
// 1.5 m, distM away, looking level, sees them; turn changes the board's pose
// (board to camera) before that.
func sideShot(distM float64, turn calibrate.Mat3, grey uint8) Shot {
	const w, h = 1600, 1200
	p := &vision.Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)}
	for i := range p.Pix {
		p.Pix[i] = grey
	}
	cam := calibrate.PriorCamera(w, h, 26)
	mid := calibrate.SheetCentre()
	var seen []calibrate.MarkerSighting
	for id := 12; id < 16; id++ {
		corners, _ := calibrate.MarkerCorners(id)
		m := calibrate.MarkerSighting{ID: id}
		for i, c := range corners {
			q := turn.MulVec(c.Sub(mid)).Add(calibrate.Vec3{0, 1.5 - 0.3 - 0.1485, distM})
			m.Corners[i], _ = cam.Project(q)
		}
		seen = append(seen, m)
	}
	return Shot{
		Photo: p, Kind: orchard.Side, Camera: cam, Boards: map[int][]calibrate.MarkerSighting{3: seen},
		Set: ShotSettings{StandHeightM: 0.3, BoardScale: 1, FloorRadiusM: 1.5},
	}
}

var straight = calibrate.Rotation(calibrate.Vec3{})

func TestSideRefusals(t *testing.T) {
	none := sideShot(6, straight, 128)
	none.Boards = nil
	for name, s := range map[string]Shot{
		"no board":     none,
		"upside down":  sideShot(6, calibrate.Rotation(calibrate.Vec3{0, 0, math.Pi}), 128),
		"on its side":  sideShot(6, calibrate.Rotation(calibrate.Vec3{0, 0, math.Pi / 2}), 128),
		"lying flat":   sideShot(3, calibrate.Rotation(calibrate.Vec3{-1.2, 0, 0}), 128),
		"too far":      sideShot(30, straight, 128),
		"too dark":     sideShot(6, straight, 5),
		"no tree seen": sideShot(6, straight, 128),
	} {
		_, err := measureSide(s)
		u, ok := metrics.AsUnusable(err)
		if !ok {
			t.Errorf("%s: got %v, want a refusal", name, err)
			continue
		}
		if u.Reason == "" || u.Mend == "" {
			t.Errorf("%s: refused without reason or mend: %+v", name, u)
		}
		t.Logf("%s: %v", name, u)
	}
}

// The plane must carry a point of the photo back to where it came from, and
// know the camera's place; with a print 2 % too large all lengths grow by 2 %.
func TestSideSceneGeometry(t *testing.T) {
	for _, scale := range []float64{1, 1.02} {
		s := sideShot(6, straight, 128)
		s.Set.BoardScale = scale
		pose, err := sidePose(s)
		if err != nil {
			t.Fatal(err)
		}
		c := newSideScene(s, pose)
		want := metrics.SidePoint{XM: 1.2, ZM: 3.4}
		px, ok := c.pixel(want)
		got := c.point(pose, px)
		if !ok || math.Hypot(got.XM-want.XM, got.ZM-want.ZM) > 1e-6 {
			t.Errorf("scale %g: there and back: %v, want %v", scale, got, want)
		}
		// The camera is level at 1.5 m: the board's foot stands 1.2 m under it.
		_, h, d := c.camera()
		if math.Abs(h-(0.3+1.2*scale)) > 0.02 || math.Abs(d-6*scale) > 0.12 {
			t.Errorf("scale %g: camera %.3f m high, %.3f m off", scale, h, d)
		}
		if y := c.hints().HorizonY(800); math.Abs(y-599.5) > 5 {
			t.Errorf("scale %g: level line at row %.1f, want 599.5", scale, y)
		}
	}
}
