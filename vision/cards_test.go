package vision

import (
	"bytes"
	"image"
	"slices"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
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

// spoiledCard draws a text as a QR code, 3 px a module, with modules turned over at
// the places that come in pairs of bytes (column, row): a card that is dirty, torn,
// or made to break its reader.
func spoiledCard(t *testing.T, text string, level decoder.ErrorCorrectionLevel, turned []byte) (*Photo, bool) {
	t.Helper()
	code, err := qrcode.NewQRCodeWriter().Encode(text, gozxing.BarcodeFormat_QR_CODE, 0, 0, map[gozxing.EncodeHintType]any{gozxing.EncodeHintType_ERROR_CORRECTION: level})
	if err != nil {
		return nil, false // a text that no code can hold
	}
	for i := 0; i+1 < len(turned); i += 2 {
		code.Flip(int(turned[i])%code.GetWidth(), int(turned[i+1])%code.GetHeight())
	}
	const module = 3
	side := module * code.GetWidth()
	p := &Photo{W: side, H: side, FullW: side, FullH: side, Pix: bytes.Repeat([]byte{220}, 3*side*side)}
	for y := range side {
		for x := range side {
			if code.Get(x/module, y/module) {
				at := 3 * (y*side + x)
				p.Pix[at], p.Pix[at+1], p.Pix[at+2] = 20, 20, 20
			}
		}
	}
	return p, true
}

// FuzzCards: no code, however spoiled, panics the readers; each text comes once; an
// unspoiled card of ours reads as it was written.
func FuzzCards(f *testing.F) {
	const card = "ROWLIGHT1:B1:3:11:07"
	f.Add(card, byte(0), []byte{})
	f.Add(card, byte(1), []byte{10, 10, 11, 12, 13, 14})
	f.Add("\x00\xff=HYPERLINK(\"x\")<script>\u202e", byte(2), []byte{8, 0, 8, 1, 8, 2, 0, 8})
	f.Add(strings.Repeat("7", 60), byte(3), bytes.Repeat([]byte{9, 9, 12, 9, 9, 13, 15}, 8))
	f.Fuzz(func(t *testing.T, text string, level byte, turned []byte) {
		levels := []decoder.ErrorCorrectionLevel{decoder.ErrorCorrectionLevel_L, decoder.ErrorCorrectionLevel_M, decoder.ErrorCorrectionLevel_Q, decoder.ErrorCorrectionLevel_H}
		if len(text) > 120 || len(turned) > 400 {
			t.Skip("larger than what is worth a run")
		}
		p, ok := spoiledCard(t, text, levels[level%4], turned)
		if !ok {
			t.Skip("no such code")
		}
		got, err := Cards(p)
		if err != nil {
			t.Fatal(err)
		}
		for i, s := range got {
			if slices.Contains(got[:i], s) {
				t.Errorf("%q comes twice", s)
			}
		}
		if text == card && len(turned) < 2 && !slices.Equal(got, []string{card}) {
			t.Errorf("read %q, want %q", got, card)
		}
	})
}
