package vision

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"rowlight/calibrate"
)

// OpenCV's own regression test for left01..left14 (modules/python/test/
// test_calibration.py, from memory; the figures are in the README of the shared
// truth folder): camera matrix within 10 (sum of absolute differences), distortion
// within 0.05 (the same), rms within 0.01 px.
const openCVMatrixTol, openCVDistortionTol, openCVRMSTol = 10, 0.05, 0.01

func TestLensFromChessboardPhotosGivesOpenCVsFigures(t *testing.T) {
	const dir = "../../shared/truth/chess_opencv"
	names, _ := filepath.Glob(filepath.Join(dir, "left[0-9]*.jpg"))
	if len(names) == 0 {
		t.Skipf("SKIPPED: the chessboard photos are not on this machine (%s)", dir)
	}
	var views []calibrate.LensView
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		v, ok, err := ChessCorners(p, Chessboard{Cols: 9, Rows: 6, SquareM: 0.025})
		if err != nil {
			t.Fatal(err)
		}
		if ok {
			views = append(views, v)
		}
	}
	l, err := FitLens(640, 480, views, calibrate.FullLens)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d views: fx %.2f fy %.2f cx %.2f cy %.2f k1 %.5f k2 %.5f p1 %.5f p2 %.5f k3 %.5f rms %.5f, sd %.3g, corner %.2f px",
		len(views), l.FxPx, l.FyPx, l.CxPx, l.CyPx, l.K1, l.K2, l.P1, l.P2, l.K3, l.RMSPx, l.SD(), l.CornerSDPx())
	sum := func(d ...float64) (s float64) {
		for _, v := range d {
			s += math.Abs(v)
		}
		return s
	}
	if d := sum(l.FxPx-532.80992189, l.FyPx-532.93346422, l.CxPx-342.4952186, l.CyPx-233.8879292); d > openCVMatrixTol {
		t.Errorf("the camera matrix is off by %.2f, at most %d", d, openCVMatrixTol)
	}
	if d := sum(l.K1+0.281325576, l.K2-0.0291130406, l.P1-0.00121234330, l.P2+0.000140825372, l.K3-0.154865844); d > openCVDistortionTol {
		t.Errorf("the distortion is off by %.4f, at most %g", d, openCVDistortionTol)
	}
	if d := math.Abs(l.RMSPx - 0.196334638034); d > openCVRMSTol {
		t.Errorf("rms %.4f px, off by %.4f, at most %g", l.RMSPx, d, openCVRMSTol)
	}
	for i, sd := range l.SD() {
		if !(sd > 0) {
			t.Errorf("term %d has no error", i)
		}
	}
}
