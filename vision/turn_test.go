package vision

import (
	"testing"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// The loader turns photos; calibrate turns cameras. Both must agree where a stored
// pixel goes.
func TestLoaderAndCameraTurnAlike(t *testing.T) {
	const w, h = 5, 3
	var pix [w * h]byte
	for i := range pix {
		pix[i] = byte(i)
	}
	for o := 1; o <= 8; o++ {
		func() {
			own := pix // the Mat works on these bytes themselves
			m, err := gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8U, own[:])
			if err != nil {
				t.Fatal(err)
			}
			defer m.Close()
			turn(&m, o)
			for y := range m.Rows() {
				for x := range m.Cols() {
					s := calibrate.Stored(calibrate.Pixel{X: float64(x), Y: float64(y)}, o, w, h)
					if got, want := m.GetUCharAt(y, x), pix[int(s.Y)*w+int(s.X)]; got != want {
						t.Errorf("orientation %d: pixel %d, %d came from %d, calibrate says %d", o, x, y, got, want)
					}
				}
			}
		}()
	}
}
