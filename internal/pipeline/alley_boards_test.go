package pipeline

import (
	"os"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

// The photo shows three boards, two of them at the foliage edges. With one of those
// painted over, the one left and the middle board are no width of the alley.
func TestHalfAnAlleyIsNoWidth(t *testing.T) {
	data, err := os.ReadFile("../../testdata/rendered/practice_alley_05.jpg")
	if err != nil {
		t.Fatal(err)
	}
	photo, err := vision.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	if m := widthOf(t, photo); m.Method != "two boards" {
		t.Fatalf("whole photo: by %q, want two boards", m.Method)
	}
	whole := *widthOf(t, photo).Value
	seen, err := vision.Markers(photo)
	if err != nil {
		t.Fatal(err)
	}
	least, most := outermost(seen)
	for _, board := range []int{least, most} {
		cut := *photo
		cut.Pix = append([]uint8(nil), photo.Pix...)
		for _, m := range seen {
			if m.ID/4 == board {
				paintOver(&cut, m)
			}
		}
		m := widthOf(t, &cut)
		if m.Method == "two boards" {
			t.Errorf("board %d painted over: %.2f m by two boards, the whole photo says %.2f", board, *m.Value, whole)
		}
	}
}

func widthOf(t *testing.T, photo *vision.Photo) *orchard.Measurement {
	t.Helper()
	out := MeasurePhoto(photo, orchard.Alley, Env{Set: DefaultSettings(), NumbersOnly: true})
	rec := orchard.Record{Measurements: out.Measurements}
	m := rec.Find(orchard.ClearWidthM)
	if m == nil || m.Value == nil {
		t.Fatalf("no width: %s", out.Reason)
	}
	return m
}

// outermost returns the boards farthest left and right.
func outermost(seen []calibrate.MarkerSighting) (left, right int) {
	lx, rx := seen[0].Corners[0].X, seen[0].Corners[0].X
	left, right = seen[0].ID/4, seen[0].ID/4
	for _, m := range seen {
		if x := m.Corners[0].X; x < lx {
			lx, left = x, m.ID/4
		} else if x > rx {
			rx, right = x, m.ID/4
		}
	}
	return left, right
}

// paintOver greys a marker and a quiet zone's width round it.
func paintOver(p *vision.Photo, m calibrate.MarkerSighting) {
	const zone = 4
	x0, y0, x1, y1 := m.Corners[0].X, m.Corners[0].Y, m.Corners[0].X, m.Corners[0].Y
	for _, c := range m.Corners {
		x0, y0, x1, y1 = min(x0, c.X), min(y0, c.Y), max(x1, c.X), max(y1, c.Y)
	}
	for y := max(int(y0)-zone, 0); y <= min(int(y1)+zone, p.H-1); y++ {
		for x := max(int(x0)-zone, 0); x <= min(int(x1)+zone, p.W-1); x++ {
			for c := range 3 {
				p.Pix[3*(y*p.W+x)+c] = 128
			}
		}
	}
}
