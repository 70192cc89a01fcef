package scene

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
)

// jpegQuality is a phone's usual.
const jpegQuality = 91

// EncodeJPEG writes a picture as seen into a JPEG with EXIF, at x.Quality; x.Orientation 6 and
// 8 store it turned a quarter, so that turning it back by the tag shows it
// upright. Other values but 1 are refused.
func EncodeJPEG(img *image.RGBA, x Exif) ([]byte, error) {
	switch x.Orientation {
	case 0, 1:
	case 6:
		img = quarter(img, false)
	case 8:
		img = quarter(img, true)
	default:
		return nil, fmt.Errorf("scene: store photo: orientation %d is none of 1, 6, 8", x.Orientation)
	}
	x.WidthPx, x.HeightPx = img.Rect.Dx(), img.Rect.Dy()
	var plain bytes.Buffer
	if err := jpeg.Encode(&plain, img, &jpeg.Options{Quality: cmp.Or(x.Quality, jpegQuality)}); err != nil {
		return nil, fmt.Errorf("scene: encode photo: %w", err)
	}
	block := append([]byte("Exif\x00\x00"), x.tiff()...)
	out := append(make([]byte, 0, plain.Len()+len(block)+4), plain.Bytes()[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(block)+2))
	out = append(out, block...)
	return append(out, plain.Bytes()[2:]...), nil
}

// quarter turns a picture by a quarter, clockwise or against.
func quarter(img *image.RGBA, clockwise bool) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			tx, ty := y, w-1-x
			if clockwise {
				tx, ty = h-1-y, x
			}
			copy(out.Pix[out.PixOffset(tx, ty):][:4], img.Pix[img.PixOffset(x, y):][:4])
		}
	}
	return out
}
