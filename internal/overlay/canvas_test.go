package overlay

import (
	"image"
	"testing"

	"rowlight/calibrate"
)

// A part shows the photo's own pixels, and a line lands where the whole photo has it.
func TestPartKeepsThePhotosPixels(t *testing.T) {
	const w, h = 40, 30
	rgb := make([]uint8, 3*w*h)
	for i := range rgb {
		rgb[i] = uint8(i / 3 % w) // grey that says its column
	}
	part := NewPart(w, h, rgb, image.Rect(10, 5, 30, 25), LongPx)
	if part.Img.Rect.Dx() != 20 || part.Img.Rect.Dy() != 20 {
		t.Fatalf("part is %v", part.Img.Rect)
	}
	if got := part.Img.NRGBAAt(0, 0).R; got != 10 {
		t.Errorf("the part's first column is %d, want 10", got)
	}
	ink := White
	whole := New(w, h, rgb)
	a, b := calibrate.Pixel{X: 12, Y: 15}, calibrate.Pixel{X: 20, Y: 15}
	whole.Line(a, b, ink, 2)
	part.Line(a, b, ink, 2)
	for y := range 20 {
		for x := range 20 {
			if whole.Img.NRGBAAt(10+x, 5+y) != part.Img.NRGBAAt(x, y) {
				t.Fatalf("pixel %d, %d of the part differs from the whole", x, y)
			}
		}
	}
	if c := NewPart(w, h, rgb, image.Rect(100, 100, 110, 110), LongPx); c.Img.Rect.Dx() != w {
		t.Error("a part outside the photo is not the whole photo")
	}
}
