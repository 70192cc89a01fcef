package pipeline

import (
	"math"
	"os"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
)

// drawnBoard is how a plumb board faces a level camera: middle at (x, y) metres
// right and ahead, bottom edge 0.3 m above the ground, seen from 1.6 m.
func drawnBoard(cam calibrate.Camera, n int, xM, yM float64, upsideDown bool) []calibrate.MarkerSighting {
	const cameraM = 1.6
	var out []calibrate.MarkerSighting
	for id := 4 * n; id < 4*n+4; id++ {
		corners, _ := calibrate.MarkerCorners(id)
		m := calibrate.MarkerSighting{ID: id}
		for i, c := range corners {
			c = c.Sub(calibrate.SheetCentre())
			if upsideDown {
				c[0], c[1] = -c[0], -c[1]
			}
			down := cameraM - 0.3 - calibrate.SheetHeightMM/2000
			m.Corners[i], _ = cam.Project(calibrate.Vec3{xM + c[0], down + c[1], yM})
		}
		out = append(out, m)
	}
	return out
}

func drawnAlleyShot(boards map[int][]calibrate.MarkerSighting) Shot {
	const w, h = 2400, 1800
	cam := calibrate.PriorCamera(w, h, 26)
	return Shot{
		Photo:  &vision.Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)},
		Camera: cam, Boards: boards, Set: ShotSettings{StandHeightM: 0.3},
	}
}

func TestEdgeBoardsGiveTheWidth(t *testing.T) {
	cam := calibrate.PriorCamera(2400, 1800, 26)
	for name, c := range map[string]struct {
		boards map[int][]calibrate.MarkerSighting
		want   float64 // 0: no pair
	}{
		"three in line":       {map[int][]calibrate.MarkerSighting{1: drawnBoard(cam, 1, -1, 6, false), 2: drawnBoard(cam, 2, 0, 6, false), 3: drawnBoard(cam, 3, 1.2, 6, false)}, 2.62},
		"two, left and right": {map[int][]calibrate.MarkerSighting{1: drawnBoard(cam, 1, -1, 6, false), 3: drawnBoard(cam, 3, 1.2, 6, false)}, 2.62},
		"one behind":          {map[int][]calibrate.MarkerSighting{1: drawnBoard(cam, 1, -1, 5, false), 3: drawnBoard(cam, 3, 1.2, 7, false)}, 0},
		"one in the middle":   {map[int][]calibrate.MarkerSighting{1: drawnBoard(cam, 1, 0, 6, false), 3: drawnBoard(cam, 3, 1.2, 6, false)}, 0},
		"alone":               {map[int][]calibrate.MarkerSighting{1: drawnBoard(cam, 1, 0, 6, false)}, 0},
	} {
		s := drawnAlleyShot(c.boards)
		boards, err := alleyBoards(s, s.alleyPose())
		if err != nil {
			t.Fatal(err)
		}
		// The rows run straight ahead of the drawn camera.
		scene := sceneOf(s, boards, middleBoard(boards), calibrate.Vec3{0, 0, 1})
		pair := scene.edgeBoards()
		if (pair != nil) != (c.want > 0) {
			t.Errorf("%s: pair %v", name, pair)
			continue
		}
		// Of two boards one may be the middle one: without walls in the photo that
		// stand where they do, they are no width.
		if pair != nil && pair.stands(nil) != (len(c.boards) > 2) {
			t.Errorf("%s: believed without walls: %v", name, pair.stands(nil))
		}
		// Perfect corners: what is left is the fit's own rounding, under 5 mm.
		if pair != nil && math.Abs(pair.width.Value-c.want) > 0.005 {
			t.Errorf("%s: %.3f m, drawn %.3f m", name, pair.width.Value, c.want)
		}
	}
}

func TestAlleyRefusals(t *testing.T) {
	cam := calibrate.PriorCamera(2400, 1800, 26)
	for name, boards := range map[string]map[int][]calibrate.MarkerSighting{
		"no board":    {},
		"upside down": {1: drawnBoard(cam, 1, 0, 6, true)},
		"too far":     {1: drawnBoard(cam, 1, 0, 14, false)},
		"black photo": {1: drawnBoard(cam, 1, 0, 6, false)},
	} {
		_, err := measureAlley(drawnAlleyShot(boards))
		if _, ok := metrics.AsUnusable(err); !ok {
			t.Errorf("%s: %v, want it refused", name, err)
		}
	}
}

// A printer that scales: the same photo with a print 3 % too large, the rows as much
// wider and the board's stand as much higher is the same scene 3 % larger. Only the
// prior of how high a phone is held (1.5 m) and the stand do not grow with it: a
// hundredth is left for them.
func TestAlleyOfAPrintOutOfScale(t *testing.T) {
	data, err := os.ReadFile("../../testdata/rendered/practice_alley_05.jpg")
	if err != nil {
		t.Fatal(err)
	}
	photo, err := vision.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	width := func(scale float64) float64 {
		set := DefaultSettings()
		set.BoardScale, set.RowSpacingM, set.TreeSpacingM = scale, 6*scale, 3*scale
		out := MeasurePhoto(photo, orchard.Alley, Env{Set: set, NumbersOnly: true})
		for _, m := range out.Measurements {
			if m.Quantity == orchard.ClearWidthM && m.Value != nil {
				return *m.Value
			}
		}
		t.Fatalf("no width: %s", out.Reason)
		return 0
	}
	const scale = 1.03
	if got, want := width(scale), scale*width(1); math.Abs(got-want) > 0.01*want {
		t.Errorf("%.3f m wide, want %.3f", got, want)
	}
}
