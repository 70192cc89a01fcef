package main

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"testing"
)

// badPhoto is one file that a scout can come home with.
type badPhoto struct {
	name string // within the visit's folder
	data []byte
	// reason and mend are words of the line that must be said of it; "" for nothing
	// to say.
	reason, mend string
	measured     bool // all the same
}

// badPhotos are issue "First light"'s list, made from photos that are good: what
// they lie beside must be measured as if they were not there.
func badPhotos(t *testing.T) []badPhoto {
	t.Helper()
	floor, side := rendered(t, "practice_floor_00"), rendered(t, "practice_side_02")
	return []badPhoto{
		{"b1-r01-t01-floor.jpg", floor, "", "", true},
		{"b1-r01-t02-floor.jpg", floor[:len(floor)*2/3], "cut short", "copy it", false},
		{"b1-r01-t03-floor.jpg", nil, "empty (0 bytes)", "copy it", false},
		{"b1-r01-t04-floor.jpg", []byte("Dear crew, the photos are on the other card.\n"), "not a photo", "check what it is", false},
		{"b1-r01-t05-floor.jpg", asJPEG(t, image.NewRGBA(image.Rect(0, 0, 1, 1))), "1 x 1", "original photo", false},
		{"b1-r01-t06-floor.jpg", declaredJPEG(t, floor, 12000, 9000), "108 megapixels, 100 at most", "usual size", false},
		{"b1-r02-t01-floor.jpg", testFile(t, "bad/cmyk.jpg"), "CMYK", "export the photo as JPEG", false},
		{"b1-r02-t02-floor.png", sixteenBits(t, floor), "no capture time", "as they were taken", true},
		{"b1-r02-t03-floor.heic", testFile(t, "bad/photo.heic"), "HEIC", "heif-convert", false},
		{"b1-r02-t04-floor.jpg", withoutEXIF(t, floor), "no capture time", "as they were taken", true},
		{"b1-r02-t05-floor.jpg", bytes.ReplaceAll(floor, []byte("2024:12:03"), []byte("1980:01:01")), "clock says 1980-01-01", "set the clock", true},
		{"b1-r02-t06-side.jpg", asJPEG(t, doubled(unJPEG(t, floor))), "board 17 shows more than once", "own number", false},
		{"b1-r03-t01-side.jpg", asJPEG(t, overHead(unJPEG(t, side))), "180 degrees", "the right way up", false},
		{"b1-r03-t02-side.jpg", side, "", "", true},
	}
}

func testFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// rendered reads a photo with truth.
func rendered(t *testing.T, stem string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/rendered", stem+".jpg"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func asJPEG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func unJPEG(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// sixteenBits is the photo as a PNG of 16 bits a colour, without EXIF.
func sixteenBits(t *testing.T, photo []byte) []byte {
	t.Helper()
	from := unJPEG(t, photo)
	img := image.NewNRGBA64(from.Bounds())
	draw.Draw(img, img.Bounds(), from, from.Bounds().Min, draw.Src)
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// JPEG marker bytes (ITU-T T.81, table B.1; APP1 holds EXIF).
const (
	markAPP1 = 0xE1
	markSOF0 = 0xC0
)

// segment finds the first segment of a JPEG with this marker: where its FF stands
// and where the next one does.
func segment(t *testing.T, photo []byte, marker byte) (from, to int) {
	t.Helper()
	for at := 2; at+4 <= len(photo) && photo[at] == 0xFF; {
		next := at + 2 + int(binary.BigEndian.Uint16(photo[at+2:]))
		if photo[at+1] == marker {
			return at, next
		}
		at = next
	}
	t.Fatalf("the photo has no segment %x", marker)
	return 0, 0
}

func withoutEXIF(t *testing.T, photo []byte) []byte {
	t.Helper()
	from, to := segment(t, photo, markAPP1)
	return append(bytes.Clone(photo[:from]), photo[to:]...)
}

// declaredJPEG is the photo with another size in its frame header.
func declaredJPEG(t *testing.T, photo []byte, w, h uint16) []byte {
	t.Helper()
	out := bytes.Clone(photo)
	from, _ := segment(t, out, markSOF0)
	binary.BigEndian.PutUint16(out[from+5:], h) // FF C0, length, bits, height, width
	binary.BigEndian.PutUint16(out[from+7:], w)
	return out
}

// doubled lays a picture beside itself: each board's number is there twice.
func doubled(img image.Image) image.Image {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	out := image.NewRGBA(image.Rect(0, 0, 2*w, h))
	draw.Draw(out, image.Rect(0, 0, w, h), img, img.Bounds().Min, draw.Src)
	draw.Draw(out, image.Rect(w, 0, 2*w, h), img, img.Bounds().Min, draw.Src)
	return out
}

// overHead turns a picture by 180 degrees.
func overHead(img image.Image) image.Image {
	b := img.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			out.SetRGBA(b.Dx()-1-x, b.Dy()-1-y, color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(bl >> 8), 255})
		}
	}
	return out
}
