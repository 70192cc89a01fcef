package vision

import (
	"image"
	"math"
	"slices"

	"github.com/makiuchi-d/gozxing"
	multi "github.com/makiuchi-d/gozxing/multi/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode"
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
	var out []string
	for _, t := range append(readAsIs(small), readSquared(small)...) {
		if !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// readAsIs reads the codes that lie square to the camera.
func readAsIs(grey gocv.Mat) []string {
	bitmap, err := bitmapOf(grey)
	if err != nil {
		return nil
	}
	found, err := multi.NewQRCodeMultiReader().DecodeMultiple(bitmap, tryHarder())
	if err != nil {
		return nil
	}
	var out []string
	for _, r := range found {
		out = append(out, r.GetText())
	}
	return out
}

func tryHarder() map[gozxing.DecodeHintType]interface{} {
	return map[gozxing.DecodeHintType]interface{}{gozxing.DecodeHintType_TRY_HARDER: true}
}

func bitmapOf(grey gocv.Mat) (*gozxing.BinaryBitmap, error) {
	img := &image.Gray{Pix: grey.ToBytes(), Stride: grey.Cols(), Rect: image.Rect(0, 0, grey.Cols(), grey.Rows())}
	return gozxing.NewBinaryBitmap(gozxing.NewHybridBinarizer(gozxing.NewLuminanceSourceFromImage(img)))
}

const (
	// squaredPx is the side of a straightened code: 12 px a module of the 33
	// that the longest card text needs.
	squaredPx = 400
	// squaredQuietPx of white round it: the four modules that the standard asks.
	squaredQuietPx = 48
)

// readSquared finds codes seen at a slant by their four corners, straightens
// each, and reads it: the smallest codes have no inner mark by which the reader
// could make up for perspective itself.
func readSquared(grey gocv.Mat) []string {
	detector := gocv.NewQRCodeDetector()
	defer detector.Close()
	corners := gocv.NewMat()
	defer corners.Close()
	if !detector.DetectMulti(grey, &corners) || corners.Channels() != 2 {
		return nil
	}
	var out []string
	for i := range corners.Rows() {
		if text, ok := readQuad(grey, corners, i); ok {
			out = append(out, text)
		}
	}
	return out
}

// readQuad straightens the code whose corners stand in one row and reads it.
func readQuad(grey, corners gocv.Mat, row int) (string, bool) {
	if corners.Cols() != 4 {
		return "", false
	}
	from := make([]gocv.Point2f, 4)
	for k := range from {
		v := corners.GetVecfAt(row, k)
		from[k] = gocv.Point2f{X: v[0], Y: v[1]}
	}
	const low, high = float32(squaredQuietPx), float32(squaredQuietPx + squaredPx)
	h, ok := quadTransform(from, []gocv.Point2f{{X: low, Y: low}, {X: high, Y: low}, {X: high, Y: high}, {X: low, Y: high}})
	if !ok {
		return "", false
	}
	defer h.Close()
	square := gocv.NewMat()
	defer square.Close()
	side := squaredPx + 2*squaredQuietPx
	gocv.WarpPerspective(grey, &square, h, image.Pt(side, side))
	bitmap, err := bitmapOf(square)
	if err != nil {
		return "", false
	}
	r, err := qrcode.NewQRCodeReader().Decode(bitmap, tryHarder())
	if err != nil {
		return "", false
	}
	return r.GetText(), true
}

// quadTransform is the projective map between two quadrangles; the caller closes
// it. ok is false where the first is none.
func quadTransform(from, to []gocv.Point2f) (gocv.Mat, bool) {
	for i := range from {
		j := (i + 1) % len(from)
		if d := math.Hypot(float64(from[i].X-from[j].X), float64(from[i].Y-from[j].Y)); !(d >= MarkerModules) {
			return gocv.Mat{}, false
		}
	}
	a := gocv.NewPoint2fVectorFromPoints(from)
	defer a.Close()
	b := gocv.NewPoint2fVectorFromPoints(to)
	defer b.Close()
	return gocv.GetPerspectiveTransform2f(a, b), true
}
