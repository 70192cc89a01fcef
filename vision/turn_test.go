package vision

import (
	"testing"

	"rowlight/calibrate"
)

// The loader turns photos; calibrate turns cameras. Both must agree where a stored
// pixel goes, in stripes of one row and of all, of whole squares of pixels and of others.
func TestLoaderAndCameraTurnAlike(t *testing.T) {
	for _, size := range [][2]int{{3, 8}, {5, 67}, {23, 68}} {
		w, h := size[0], size[1]
		stored := make([]uint8, 3*w*h+1)
		for i := range w * h {
			stored[3*i], stored[3*i+1], stored[3*i+2] = byte(i), byte(i>>8), 77
		}
		for o := 2; o <= 8; o++ {
			for _, rows := range []int{1, 4, 7, 64, h} {
				checkTurned(t, stored, w, h, o, rows)
			}
		}
	}
}

func checkTurned(t *testing.T, stored []uint8, w, h, o, rows int) {
	t.Helper()
	tw, th := w, h
	if o >= firstAside {
		tw, th = h, w
	}
	got := make([]uint8, 3*w*h)
	turnStripes(stored, w, h, o, rows, got)
	for y := range th {
		for x := range tw {
			s := calibrate.Stored(calibrate.Pixel{X: float64(x), Y: float64(y)}, o, w, h)
			want := [3]uint8(stored[3*(int(s.Y)*w+int(s.X)):])
			if got := [3]uint8(got[3*(y*tw+x):]); got != want {
				t.Fatalf("%d x %d, orientation %d, %d rows at once: pixel %d, %d is %d, calibrate says %d", w, h, o, rows, x, y, got, want)
			}
		}
	}
}

// What is missing at the end of the file is looked for where its last rows went.
func TestLastStoredRowsAreFoundInTheTurnedPhoto(t *testing.T) {
	const w, h = 40, 30
	for o := 1; o <= 8; o++ {
		p := &Photo{W: w, H: h}
		if o >= firstAside {
			p.W, p.H = h, w
		}
		last := lastStored(p, o)
		for y := range p.H {
			for x := range p.W {
				s := calibrate.Stored(calibrate.Pixel{X: float64(x), Y: float64(y)}, o, w, h)
				if in := x >= last.Min.X && x < last.Max.X && y >= last.Min.Y && y < last.Max.Y; in != (int(s.Y) >= h-missingRows) {
					t.Fatalf("orientation %d: pixel %d, %d is of stored row %v", o, x, y, s.Y)
				}
			}
		}
	}
}
