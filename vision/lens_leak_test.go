//go:build matprofile

package vision

import (
	"math"
	"testing"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// Looking for a chessboard, found or not, and fitting a lens leave no Mat open.
func TestNoMatLeaksFromLens(t *testing.T) {
	boards := []*Photo{drawnChess(1600), {W: 400, H: 400, Pix: make([]uint8, 3*400*400)}, {}}
	views := func() []calibrate.LensView {
		var out []calibrate.LensView
		for i := range 4 {
			a := float64(i)
			v := calibrate.LensView{}
			turn := calibrate.Rotation(calibrate.Vec3{0.3 * math.Cos(a), 0.3 * math.Sin(2*a), 0.1 * a})
			for k := range 54 {
				p := calibrate.Vec3{float64(k%9) * 0.03, float64(k/9) * 0.03, 0}
				px, _ := calibrate.Camera{FPx: 800, CxPx: 319.5, CyPx: 239.5}.Project(turn.MulVec(p).Add(calibrate.Vec3{-0.1, -0.08, 0.6}))
				v.Board, v.Pixels = append(v.Board, p), append(v.Pixels, px)
			}
			out = append(out, v)
		}
		return out
	}
	before := gocv.MatProfile.Count()
	for range 3 {
		for i, p := range boards {
			if _, ok, _ := ChessCorners(p, Chessboard{Cols: 9, Rows: 6, SquareM: 0.025}); ok != (i == 0) {
				t.Fatalf("photo %d: found %v", i, ok)
			}
		}
		if _, err := FitLens(640, 480, views(), calibrate.RadialLens); err != nil {
			t.Fatal(err)
		}
	}
	if after := gocv.MatProfile.Count(); after != before {
		t.Errorf("%d Mats were left open", after-before)
	}
}

// drawnChess is a chessboard of 9 by 6 inner corners, straight ahead.
func drawnChess(w int) *Photo {
	h := w * 3 / 4
	square := w / 14
	p := &Photo{W: w, H: h, Pix: make([]uint8, 3*w*h)}
	for i := range p.Pix {
		x, y := i/3%w-2*square, i/3/w-2*square
		p.Pix[i] = 230
		if x >= 0 && y >= 0 && x < 10*square && y < 7*square && (x/square+y/square)%2 == 0 {
			p.Pix[i] = 20
		}
	}
	return p
}
