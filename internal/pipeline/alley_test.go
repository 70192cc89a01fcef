package pipeline

import (
	"math"
	"testing"

	"rowlight/calibrate"
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
