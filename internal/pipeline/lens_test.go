package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/scene"
	"rowlight/vision"
)

// Drawn photos of a survey board through a lens that bends: f = 26/36 of the width,
// k1 = -0.08, k2 = 0.03, nothing else.
const bentK1, bentK2 = -0.08, 0.03

// bentBoards draws n photos of a board on the ground, from all sides, and returns
// their folder.
func bentBoards(t *testing.T, n, width, height int) string {
	t.Helper()
	dir := t.TempDir()
	floors := scene.NewFloors(5)
	stand := scene.NewStand(5, scene.Soil)
	rnd := scene.NewRand(8)
	for i := range n {
		way := scene.Heading(360 * float64(i) / float64(n)).Scale(rnd.Between(0.2, 0.5))
		eye := scene.Vec3{X: way.X, Y: way.Y, Z: rnd.Between(0.45, 0.6)}
		at := scene.Vec3{X: rnd.Between(-0.12, 0.12), Y: rnd.Between(-0.08, 0.08)}
		cam := scene.Aim(eye, at, rnd.Between(-90, 90), width, height)
		cam.K1, cam.K2 = bentK1, bentK2
		v := scene.NewView(stand, floors, scene.Shot{Camera: cam, Boards: []scene.Board{scene.FlatBoard(1, scene.Vec3{}, 0)},
			Sky: scene.Overcast, Sun: scene.Sun{ElevationDeg: 60}, Seed: uint64(i)})
		data, err := scene.EncodeJPEG(v.Draw().Develop(scene.Phone(uint64(i))), scene.Exif{})
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("board_%02d.jpg", i)), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// The lens comes out of the photos within its own errors, is kept, and a later photo
// of that camera, and of no other, is measured with it.
func TestLensFromSurveyBoards(t *testing.T) {
	if testing.Short() {
		t.Skip("draws photos")
	}
	const w, h = 960, 720
	dir := bentBoards(t, 10, w, h)
	fit, err := FitLens(context.Background(), dir, vision.Chessboard{})
	if err != nil {
		t.Fatal(err)
	}
	l := fit.Lens
	t.Logf("%s: fx %.1f (%.1f) k1 %.4f (%.4f) k2 %.4f (%.4f) rms %.3f px, %d photos", fit.Model, l.FxPx, fit.SD[0], l.K1, fit.SD[4], l.K2, fit.SD[5], l.RMSPx, l.Photos)
	// A marker's edge is fitted by a straight line though the lens bows it: by
	// L2/8 times 2 k1 r, 0.3 px in the worst place here, which moves focal length and
	// k1 by up to a thousandth of their scale beside the corners' noise.
	for _, c := range []struct {
		name            string
		got, want, most float64
	}{{"fx", l.FxPx, w * 26.0 / 36, 0.002 * l.FxPx}, {"cx", l.CxPx, (w - 1) / 2.0, 0.002 * l.FxPx}, {"k1", l.K1, bentK1, 0.004}} {
		if math.Abs(c.got-c.want) > c.most {
			t.Errorf("%s is %.4f, want %.4f within %.4f", c.name, c.got, c.want, c.most)
		}
	}
	// The picture's corner, seen through the lens: Brown's series at the true slopes.
	cam := cameraOf(firstPhoto(t, dir), []orchard.Lens{l})
	x, y := 0.6, 0.45
	r2 := x*x + y*y
	k := 1 + r2*(bentK1+r2*bentK2)
	want := calibrate.Pixel{X: (w-1)/2.0 + w*26.0/36*x*k, Y: (h-1)/2.0 + w*26.0/36*y*k}
	got, _ := cam.Project(calibrate.Vec3{x, y, 1})
	if d := got.Dist(want); d > 0.003*l.FxPx { // without the lens it is 20 px off
		t.Errorf("a corner ray shows %.2f px off", d)
	}
	other := cameraOf(firstPhoto(t, dir), []orchard.Lens{func() orchard.Lens { o := l; o.Focal35MM = 52; return o }()})
	if other.Spread != nil || cam.Spread == nil || !(cam.FRelSD < other.FRelSD) {
		t.Errorf("focal length good to %.4f calibrated, %.4f from EXIF", cam.FRelSD, other.FRelSD)
	}
}

func firstPhoto(t *testing.T, dir string) *vision.Photo {
	t.Helper()
	p, err := vision.Load(filepath.Join(dir, "board_00.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A folder without a board, and one with too few photos of it, say so.
func TestLensNeedsBoards(t *testing.T) {
	if _, err := FitLens(context.Background(), t.TempDir(), vision.Chessboard{}); err == nil {
		t.Error("an empty folder gave a lens")
	}
	if _, err := FitLens(context.Background(), bentBoards(t, 2, 480, 360), vision.Chessboard{}); err == nil {
		t.Error("two photos gave a lens")
	}
}

// Two lenses that leave the same behind are the same: chance. One that leaves a
// tenth less of 1404 squares explains something (OpenCV's chessboard photos: 0.204
// and 0.195 px).
func TestRicherLensMustEarnItsTerms(t *testing.T) {
	lens := func(rms float64) calibrate.Lens { return calibrate.Lens{RMSPx: rms, Corners: 702, Views: 13} }
	if betterThanChance(lens(0.2), lens(0.1999)) {
		t.Error("a thousandth was taken for more than chance")
	}
	if !betterThanChance(lens(0.204), lens(0.195)) {
		t.Error("a tenth of the squares was taken for chance")
	}
}
