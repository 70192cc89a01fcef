package vision

import (
	"image"
	"math"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/multi/qrcode"
	"gocv.io/x/gocv"
)

// cardSearchLongPx are the sizes at which a card is looked for, the longer side
// in pixels: a card fills the frame or lies in it small.
func cardSearchLongPx() []float64 { return []float64{1000, 1800, 3000} }

// Cards returns the text of every QR code (ISO/IEC 18004) seen in the photo, in
// the order found, each once. No code is no error.
func Cards(p *Photo) ([]string, error) {
	full, err := greyMat(p)
	if err != nil {
		return nil, err
	}
	defer full.Close()
	long := math.Max(float64(p.W), float64(p.H))
	for i, want := range cardSearchLongPx() {
		if i > 0 && want > long && cardSearchLongPx()[i-1] >= long {
			break // already looked at the photo as it is
		}
		if texts := cardsAt(full, math.Min(1, want/long)); len(texts) > 0 {
			return texts, nil
		}
	}
	return nil, nil
}

func cardsAt(full gocv.Mat, scale float64) []string {
	small := gocv.NewMat()
	defer small.Close()
	gocv.Resize(full, &small, image.Point{}, scale, scale, gocv.InterpolationArea)
	grey := &image.Gray{Pix: small.ToBytes(), Stride: small.Cols(), Rect: image.Rect(0, 0, small.Cols(), small.Rows())}
	bitmap, err := gozxing.NewBinaryBitmap(gozxing.NewHybridBinarizer(gozxing.NewLuminanceSourceFromImage(grey)))
	if err != nil {
		return nil
	}
	hints := map[gozxing.DecodeHintType]interface{}{gozxing.DecodeHintType_TRY_HARDER: true}
	found, err := qrcode.NewQRCodeMultiReader().DecodeMultiple(bitmap, hints)
	if err != nil {
		return nil
	}
	var out []string
	seen := map[string]bool{}
	for _, r := range found {
		if t := r.GetText(); !seen[t] {
			seen[t] = true
			out = append(out, t)
		}
	}
	return out
}
