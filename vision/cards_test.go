package vision

import (
	"image"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"gocv.io/x/gocv"
)

// slantedCard draws a QR code of the smallest size as a camera 1.2 m above and
// 0.6 m before it would see it: the far edge is shorter than the near one.
func slantedCard(t *testing.T, text string, far, near float32) *Photo {
	t.Helper()
	code, err := qrcode.NewQRCodeWriter().Encode(text, gozxing.BarcodeFormat_QR_CODE, 290, 290, nil)
	if err != nil {
		t.Fatal(err)
	}
	side := code.GetWidth()
	flat := gocv.NewMatWithSize(side, side, gocv.MatTypeCV8UC1)
	defer flat.Close()
	for y := range side {
		for x := range side {
			v := uint8(200)
			if code.Get(x, y) {
				v = 30
			}
			flat.SetUCharAt(y, x, v)
		}
	}
	s := float32(side)
	const w, h = 1600, 1200
	m, ok := quadTransform([]gocv.Point2f{{X: 0, Y: 0}, {X: s, Y: 0}, {X: s, Y: s}, {X: 0, Y: s}},
		[]gocv.Point2f{{X: 800 - far/2, Y: 450}, {X: 800 + far/2, Y: 455}, {X: 800 + near/2, Y: 690}, {X: 800 - near/2, Y: 700}})
	if !ok {
		t.Fatal("no transform")
	}
	defer m.Close()
	seen := gocv.NewMatWithSizeFromScalar(gocv.NewScalar(90, 0, 0, 0), h, w, gocv.MatTypeCV8UC1)
	defer seen.Close()
	gocv.WarpPerspective(flat, &seen, m, image.Pt(w, h))
	p := &Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 0, 3*w*h)}
	for _, v := range seen.ToBytes() {
		p.Pix = append(p.Pix, v, v, v)
	}
	return p
}

// The smallest code has no alignment mark, so a reader alone fails at a slant.
func TestCardsAreReadAtASlant(t *testing.T) {
	for _, near := range []float32{280, 300, 320} {
		const text = "ROWLIGHT1:B1:3:11"
		got, err := Cards(slantedCard(t, text, 260, near))
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != 1 || got[0] != text {
			t.Errorf("near edge %g px against 260 far: read %q, want %q", near, got, text)
		}
	}
}

func TestNoCardIsNoError(t *testing.T) {
	p := &Photo{W: 640, H: 480, FullW: 640, FullH: 480, Pix: make([]uint8, 3*640*480)}
	if got, err := Cards(p); err != nil || len(got) != 0 {
		t.Errorf("cards in a black photo: %q, %v", got, err)
	}
}
