package vision

import (
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// The camera of the chessboard photographs left01..left14 (OpenCV samples), as
// OpenCV's own regression test modules/python/test/test_calibration.py gives it.
func chessCamera() calibrate.Camera {
	return calibrate.Camera{
		WidthPx: 640, HeightPx: 480, FPx: (532.80992189 + 532.93346422) / 2, CxPx: 342.4952186, CyPx: 233.8879292,
		K1: -0.281325576, K2: 0.0291130406, P1: 0.00121234330, P2: -0.000140825372, K3: 0.154865844,
	}
}

const (
	chessCols, chessRows = 9, 6
	chessSquareM         = 0.025
	// chessRMSPx: the published fit leaves 0.196 px over all photos, with its own
	// poses; a photo may lie above the mean, half as much again is allowed.
	chessRMSPx = 0.30
)

// With the published lens, a board's corners must lie on a plane seen by a
// pinhole: distortion, rays and the homography hold together on real photos.
func TestChessboardPhotosAgreeWithThePublishedLens(t *testing.T) {
	const dir = "../../shared/truth/chess_opencv"
	names, _ := filepath.Glob(filepath.Join(dir, "left*.jpg"))
	if len(names) == 0 {
		t.Skipf("SKIPPED: the chessboard photos are not on this machine (%s)", dir)
	}
	cam := chessCamera()
	var sum, corners float64
	for _, name := range names {
		found, ok := chessCorners(t, name)
		if !ok {
			continue
		}
		r := planeRMSPx(t, cam, found)
		sum, corners = sum+r*r*float64(len(found)), corners+float64(len(found))
		if r > 2*chessRMSPx {
			t.Errorf("%s: corners are %.2f px rms off a plane", filepath.Base(name), r)
		}
	}
	if corners < 10*chessCols*chessRows {
		t.Fatalf("boards found in %.0f photos only", corners/(chessCols*chessRows))
	}
	if rms := math.Sqrt(sum / corners); rms > chessRMSPx {
		t.Errorf("%.3f px rms over all photos, at most %.2f", rms, chessRMSPx)
	} else {
		t.Logf("%.3f px rms over %.0f corners (published: 0.196 with fitted poses)", rms, corners)
	}
}

func chessCorners(t *testing.T, name string) ([]calibrate.Pixel, bool) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	grey, err := gocv.IMDecode(data, gocv.IMReadGrayScale)
	if err != nil {
		t.Fatal(err)
	}
	defer grey.Close()
	pts := gocv.NewMat()
	defer pts.Close()
	if !gocv.FindChessboardCorners(grey, image.Pt(chessCols, chessRows), &pts, gocv.CalibCBAdaptiveThresh|gocv.CalibCBNormalizeImage) {
		return nil, false
	}
	gocv.CornerSubPix(grey, &pts, image.Pt(5, 5), image.Pt(-1, -1), gocv.NewTermCriteria(gocv.Count|gocv.EPS, 50, 0.001))
	var out []calibrate.Pixel
	for i := range pts.Rows() {
		v := pts.GetVecfAt(i, 0)
		out = append(out, calibrate.Pixel{X: float64(v[0]), Y: float64(v[1])})
	}
	return out, true
}

// planeRMSPx fits the board's plane to the undistorted rays and puts it back
// through the lens.
func planeRMSPx(t *testing.T, cam calibrate.Camera, found []calibrate.Pixel) float64 {
	t.Helper()
	var board, rays []calibrate.Pixel
	for i, px := range found {
		board = append(board, calibrate.Pixel{X: float64(i%chessCols) * chessSquareM, Y: float64(i/chessCols) * chessSquareM})
		r := cam.Ray(px)
		rays = append(rays, calibrate.Pixel{X: r[0], Y: r[1]})
	}
	h, err := calibrate.Homography(board, rays)
	if err != nil {
		t.Fatal(err)
	}
	var sum float64
	for i := range board {
		r := h.Apply(board[i])
		px, ok := cam.Project(calibrate.Vec3{r.X, r.Y, 1})
		if !ok {
			t.Fatal("a corner behind the camera")
		}
		d := px.Dist(found[i])
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(board)))
}
