package vision

import (
	"fmt"
	"image"
	"math"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// Chessboard is a printed chessboard: inner corners across and down, the side of a
// square in metres.
type Chessboard struct {
	Cols, Rows int
	SquareM    float64
}

const (
	// chessFindPx is the longer side at which a chessboard is looked for; the
	// corners are then refined on the full photo.
	chessFindPx = 1600
	// chessWindowPx is half the window a corner is refined in, at the size it is
	// found at: OpenCV's own calibration test takes the same.
	chessWindowPx = 5
)

// ChessCorners finds a chessboard's inner corners, row by row: their places on the
// board (m, z = 0) and their pixels in the photo as it stands. ok is false where the
// whole board is not seen.
func ChessCorners(p *Photo, b Chessboard) (view calibrate.LensView, ok bool, err error) {
	grey, err := greyMat(p)
	if err != nil {
		return view, false, err
	}
	defer grey.Close()
	small, scale := gocv.NewMat(), 1.0
	defer small.Close()
	if long := max(p.W, p.H); long > chessFindPx {
		scale = float64(chessFindPx) / float64(long)
	}
	gocv.Resize(grey, &small, image.Pt(int(math.Round(float64(p.W)*scale)), int(math.Round(float64(p.H)*scale))), 0, 0, gocv.InterpolationArea)
	pts := gocv.NewMat()
	defer pts.Close()
	if !gocv.FindChessboardCorners(small, image.Pt(b.Cols, b.Rows), &pts, gocv.CalibCBAdaptiveThresh|gocv.CalibCBNormalizeImage) {
		return view, false, nil
	}
	for i := range pts.Rows() { // to the full photo's pixels
		v := pts.GetVecfAt(i, 0)
		for k := range 2 {
			pts.SetFloatAt(i, k, float32((float64(v[k])+0.5)/scale-0.5))
		}
	}
	window := int(math.Round(chessWindowPx / scale))
	gocv.CornerSubPix(grey, &pts, image.Pt(window, window), image.Pt(-1, -1), gocv.NewTermCriteria(gocv.Count|gocv.EPS, 50, 0.001))
	for i := range pts.Rows() {
		v := pts.GetVecfAt(i, 0)
		view.Board = append(view.Board, calibrate.Vec3{float64(i%b.Cols) * b.SquareM, float64(i/b.Cols) * b.SquareM, 0})
		view.Pixels = append(view.Pixels, calibrate.Pixel{X: float64(v[0]), Y: float64(v[1])})
	}
	return view, true, nil
}

// FitLens finds the lens that explains some views of a flat board: OpenCV's
// calibrateCamera (Zhang 2000) for the start, calibrate.RefineLens for the finish and
// the covariance. The views' poses are filled in.
func FitLens(widthPx, heightPx int, views []calibrate.LensView, model calibrate.LensModel) (calibrate.Lens, error) {
	l := calibrate.Lens{WidthPx: widthPx, HeightPx: heightPx, Model: model}
	if err := openCVLens(&l, views); err != nil {
		return calibrate.Lens{}, err
	}
	return calibrate.RefineLens(l, views)
}

// openCVLens runs OpenCV's calibration and puts its poses into the views.
func openCVLens(l *calibrate.Lens, views []calibrate.LensView) error {
	board, pixels := lensPoints(views)
	b, p := gocv.NewPoints3fVectorFromPoints(board), gocv.NewPoints2fVectorFromPoints(pixels)
	defer b.Close()
	defer p.Close()
	matrix, dist, rot, move := gocv.NewMat(), gocv.NewMat(), gocv.NewMat(), gocv.NewMat()
	defer matrix.Close()
	defer dist.Close()
	defer rot.Close()
	defer move.Close()
	rms := gocv.CalibrateCamera(b, p, image.Pt(l.WidthPx, l.HeightPx), &matrix, &dist, &rot, &move, lensFlags(l.Model))
	if math.IsNaN(rms) || matrix.Rows() != 3 || rot.Rows() != len(views) || move.Rows() != len(views) {
		return fmt.Errorf("vision: fit lens: %w", calibrate.ErrNoLens)
	}
	l.FxPx, l.FyPx = matrix.GetDoubleAt(0, 0), matrix.GetDoubleAt(1, 1)
	l.CxPx, l.CyPx = matrix.GetDoubleAt(0, 2), matrix.GetDoubleAt(1, 2)
	d := func(i int) float64 { return dist.GetDoubleAt(i/dist.Cols(), i%dist.Cols()) }
	l.K1, l.K2, l.P1, l.P2, l.K3 = d(0), d(1), d(2), d(3), d(4)
	for i := range views {
		r, t := rot.GetVecdAt(i, 0), move.GetVecdAt(i, 0)
		views[i].R, views[i].T = calibrate.Rotation(calibrate.Vec3{r[0], r[1], r[2]}), calibrate.Vec3{t[0], t[1], t[2]}
	}
	return nil
}

func lensPoints(views []calibrate.LensView) (board [][]gocv.Point3f, pixels [][]gocv.Point2f) {
	for _, v := range views {
		var b []gocv.Point3f
		var p []gocv.Point2f
		for i := range v.Board {
			b = append(b, gocv.Point3f{X: float32(v.Board[i][0]), Y: float32(v.Board[i][1]), Z: float32(v.Board[i][2])})
			p = append(p, gocv.Point2f{X: float32(v.Pixels[i].X), Y: float32(v.Pixels[i].Y)})
		}
		board, pixels = append(board, b), append(pixels, p)
	}
	return board, pixels
}

// The flags of OpenCV's calibrateCamera (calib3d.hpp, version 4): gocv names only
// those of the fisheye model, which have other values.
const (
	zeroTangent gocv.CalibFlag = 0x00008
	fixK1       gocv.CalibFlag = 0x00020
	fixK2       gocv.CalibFlag = 0x00040
	fixK3       gocv.CalibFlag = 0x00080
)

func lensFlags(m calibrate.LensModel) gocv.CalibFlag {
	switch m {
	case calibrate.RadialLens:
		return zeroTangent | fixK3
	case calibrate.PlainLens:
		return zeroTangent | fixK1 | fixK2 | fixK3
	}
	return 0
}
