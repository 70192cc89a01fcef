package vision

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gocv.io/x/gocv"
	"golang.org/x/image/tiff"
)

// quadrants is a picture whose four quarters differ, so that every turn shows:
// red, green over blue, grey, with a little grain.
func quadrants(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	rng := rand.New(rand.NewPCG(3, 5))
	for y := range h {
		for x := range w {
			c := color.RGBA{200, 40, 40, 255}
			switch {
			case x >= w/2 && y < h/2:
				c = color.RGBA{40, 180, 40, 255}
			case x < w/2 && y >= h/2:
				c = color.RGBA{40, 40, 200, 255}
			case x >= w/2:
				c = color.RGBA{128, 128, 128, 255}
			}
			g := uint8(rng.IntN(8))
			m.SetRGBA(x, y, color.RGBA{c.R + g, c.G + g, c.B + g, 255})
		}
	}
	return m
}

func jpegBytes(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withOrientation puts an EXIF block with an orientation and nothing else behind
// a JPEG's first marker.
func withOrientation(jpg []byte, o byte) []byte {
	exif := []byte("\xff\xe1\x00\x22Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00\x00\x00")
	exif[len(exif)-7] = o
	return append(append(append([]byte{}, jpg[:2]...), exif...), jpg[2:]...)
}

// quarter returns the mean colour of a quarter of the photo.
func quarter(p *Photo, right, low int) (rgb [3]float64) {
	n := 0.0
	for y := low*p.H/2 + p.H/8; y < low*p.H/2+3*p.H/8; y++ {
		for x := right*p.W/2 + p.W/8; x < right*p.W/2+3*p.W/8; x++ {
			for k := range 3 {
				rgb[k] += float64(p.Pix[3*(y*p.W+x)+k])
			}
			n++
		}
	}
	for k := range 3 {
		rgb[k] /= n
	}
	return rgb
}

// EXIF 2.32 says for each orientation where the stored picture's first row and
// column belong: (1) top, left; (2) top, right; (3) bottom, right; (4) bottom,
// left; (5) left, top; (6) right, top; (7) right, bottom; (8) left, bottom.
func TestDecodeTurnsUpright(t *testing.T) {
	// Where the stored quarters (red, green, blue, grey) stand in the upright
	// photo: top left, top right, bottom left, bottom right.
	want := map[byte]string{1: "rgbk", 2: "grkb", 3: "kbgr", 4: "bkrg", 5: "rbgk", 6: "brkg", 7: "kgbr", 8: "gkrb"}
	stored := jpegBytes(t, quadrants(480, 360))
	for o, places := range want {
		p, err := Decode(withOrientation(stored, o))
		if err != nil {
			t.Fatal(err)
		}
		if w, h := 480, 360; (o >= 5) != (p.W == h && p.H == w) || p.Meta.Orientation != int(o) {
			t.Errorf("orientation %d: %d x %d, meta %d", o, p.W, p.H, p.Meta.Orientation)
		}
		if got := quarters(p); got != places {
			t.Errorf("orientation %d: quarters %s, want %s", o, got, places)
		}
		turned, err := Decode(tiffWithOrientation(t, quadrants(480, 360), o))
		if err != nil {
			t.Fatal(err)
		}
		if got := quarters(turned); got != places {
			t.Errorf("TIFF, orientation %d: quarters %s, want %s", o, got, places)
		}
	}
}

// quarters names the colours of the photo's four quarters, row by row.
func quarters(p *Photo) (names string) {
	for i := range 4 {
		names += nameOf(quarter(p, i%2, i/2))
	}
	return names
}

// tiffWithOrientation makes a TIFF whose entry for the resolution unit (296, of
// type short) is given the orientation's number and value instead, and stands in
// its order.
func tiffWithOrientation(t *testing.T, m image.Image, o byte) []byte {
	t.Helper()
	data := tiffBytes(t, m)
	ifd := int(binary.LittleEndian.Uint32(data[4:]))
	entries := data[ifd+2 : ifd+2+12*int(binary.LittleEndian.Uint16(data[ifd:]))]
	for at := 0; at < len(entries); at += 12 {
		if e := entries[at : at+12]; binary.LittleEndian.Uint16(e) == 296 {
			binary.LittleEndian.PutUint16(e, tiffOrientation)
			binary.LittleEndian.PutUint16(e[8:], uint16(o))
			for ; at > 0 && binary.LittleEndian.Uint16(entries[at-12:]) > tiffOrientation; at -= 12 {
				moved := bytes.Clone(entries[at : at+12])
				copy(entries[at:], entries[at-12:at])
				copy(entries[at-12:], moved)
			}
			return data
		}
	}
	t.Fatal("the TIFF has no entry to change")
	return nil
}

func nameOf(c [3]float64) string {
	switch {
	case c[0] > c[1]+50 && c[0] > c[2]+50:
		return "r"
	case c[1] > c[0]+50 && c[1] > c[2]+50:
		return "g"
	case c[2] > c[0]+50 && c[2] > c[1]+50:
		return "b"
	}
	return "k"
}

func pngBytes(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// deep is quadrants with 16 bits a colour: 8-bit codes times 257.
func deep(w, h int) *image.RGBA64 {
	from, m := quadrants(w, h), image.NewRGBA64(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := from.RGBAAt(x, y)
			m.SetRGBA64(x, y, color.RGBA64{uint16(c.R) * 257, uint16(c.G) * 257, uint16(c.B) * 257, 65535})
		}
	}
	return m
}

func tiffBytes(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Formats without loss give back the codes that went in; 16 bits keep the upper
// eight, to within the rounding of one code.
func TestDecodeFormats(t *testing.T) {
	m := quadrants(400, 330)
	for name, data := range map[string][]byte{
		"png": pngBytes(t, m), "png 16 bit": pngBytes(t, deep(400, 330)),
		"tiff": tiffBytes(t, m), "tiff 16 bit": tiffBytes(t, deep(400, 330)),
	} {
		p, err := Decode(data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		worst := 0.0
		for i := range p.W * p.H {
			for k := range 3 {
				worst = math.Max(worst, math.Abs(float64(p.Pix[3*i+k])-float64(m.Pix[4*i+k])))
			}
		}
		if p.W != 400 || p.H != 330 || worst > 1 {
			t.Errorf("%s: %d x %d, worst code off by %g", name, p.W, p.H, worst)
		}
	}
}

// WebP as OpenCV writes it, with and without loss.
func TestDecodeWebP(t *testing.T) {
	m, err := gocv.IMDecode(pngBytes(t, quadrants(480, 360)), gocv.IMReadColor)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	for _, quality := range []int{80, 101} { // above 100 is without loss
		b, err := gocv.IMEncodeWithParams(".webp", m, []int{gocv.IMWriteWebpQuality, quality})
		if err != nil {
			t.Fatal(err)
		}
		p, err := Decode(bytes.Clone(b.GetBytes()))
		b.Close()
		if err != nil || p.W != 480 || p.H != 360 || quarters(p) != "rgbk" {
			t.Errorf("quality %d: error %v", quality, err)
		}
	}
}

func TestDecodeGreyJPEG(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 400, 400))
	for i := range m.Pix {
		m.Pix[i] = uint8(i % 251)
	}
	if p, err := Decode(jpegBytes(t, m)); err != nil || p.W != 400 || len(p.Pix) != 3*400*400 {
		t.Errorf("grey: %v", err)
	}
}

// declaring returns a PNG header of a size, with nothing behind it but an end.
func declaring(w, h uint32) []byte {
	b := []byte(pngSignature + "\x00\x00\x00\x0dIHDR")
	b = append(b, byte(w>>24), byte(w>>16), byte(w>>8), byte(w), byte(h>>24), byte(h>>16), byte(h>>8), byte(h))
	b = append(b, "\x08\x02\x00\x00\x00crc!\x00\x00\x00\x00IENDcrc!"...)
	return b
}

// setSOF overwrites a byte of a JPEG's frame header.
func setSOF(jpg []byte, at int, v byte) []byte {
	out := bytes.Clone(jpg)
	i := bytes.Index(out, []byte("\xff\xc0"))
	out[i+4+at] = v
	return out
}

func TestDecodeRefuses(t *testing.T) {
	jpg := jpegBytes(t, quadrants(640, 480))
	pngs, tif := pngBytes(t, quadrants(400, 330)), tiffBytes(t, quadrants(400, 330))
	cases := []struct {
		name string
		data []byte
		kind FileErrorKind
		says string // in reason or mend
	}{
		{"zero bytes", nil, FileBroken, "empty"},
		{"text", []byte("Dear grower, the photo follows by mail."), FileBroken, "not a photo"},
		{"one byte", []byte{0xff}, FileBroken, "not a photo"},
		{"start of a JPEG", jpg[:2], FileBroken, "cut short"},
		{"half a JPEG", jpg[:len(jpg)/2], FileBroken, "cut short"},
		{"JPEG without its last bytes", jpg[:len(jpg)-2], FileBroken, "cut short"},
		{"JPEG with its lower half lost, end marker kept", append(bytes.Clone(jpg[:len(jpg)/2]), 0xff, 0xd9), FileBroken, "lower part"},
		{"JPEG of printing colours", setSOF(jpg, 5, 4), FileUnsupported, "CMYK"},
		{"JPEG of 12 bits", setSOF(jpg, 0, 12), FileUnsupported, "12 bits"},
		{"half a PNG", pngs[:len(pngs)/2], FileBroken, "cut short"},
		{"half a TIFF", tif[:len(tif)/2], FileBroken, "TIFF"},
		{"1 x 1", pngBytes(t, quadrants(1, 1)), FileUnsupported, "too small"},
		{"300 high", pngBytes(t, quadrants(500, 300)), FileUnsupported, "too small"},
		{"a gigapixel declared", declaring(40000, 25000), FileUnsupported, "too large"},
		{"sides that overflow", declaring(1<<31, 1<<31), FileUnsupported, "too large"},
		{"no width", declaring(0, 500), FileBroken, "0 x 500"},
		{"header only", declaring(500, 500), FileBroken, "damaged"},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), FileUnsupported, "most compatible"},
		{"HEIF", []byte("\x00\x00\x00\x14ftypmif1\x00\x00\x00\x00mif1"), FileUnsupported, "HEIC"},
		{"AVIF", []byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1avif"), FileUnsupported, "AVIF"},
		{"film", []byte("\x00\x00\x00\x14ftypisom\x00\x00\x00\x00mp41"), FileUnsupported, "film"},
		{"Canon raw", []byte("II*\x00\x10\x00\x00\x00CR\x02\x00"), FileUnsupported, "raw"},
		{"Canon's newer raw", []byte("\x00\x00\x00\x14ftypcrx \x00\x00\x00\x00isom"), FileUnsupported, "raw"},
		{"DNG", []byte("II*\x00\x08\x00\x00\x00\x01\x00\x12\xc6\x01\x00\x04\x00\x00\x00\x01\x04\x00\x00"), FileUnsupported, "raw"},
		{"GIF", []byte("GIF89a.............."), FileUnsupported, "GIF"},
		{"PDF", []byte("%PDF-1.7 .............."), FileUnsupported, "PDF"},
		{"WebP cut short", []byte("RIFF\x00\x10\x00\x00WEBPVP8 \x00\x00\x00\x00"), FileBroken, "cut short"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p, err := Decode(c.data)
			var fe *FileError
			if p != nil || !errors.As(err, &fe) {
				t.Fatalf("photo %v, error %v", p != nil, err)
			}
			if fe.Kind != c.kind || !strings.Contains(fe.Error(), c.says) || fe.Mend == "" {
				t.Errorf("kind %d, %q", fe.Kind, fe.Error())
			}
		})
	}
}

func TestLoadRefusesPaths(t *testing.T) {
	dir := t.TempDir()
	locked := filepath.Join(dir, "locked.jpg")
	if err := os.WriteFile(locked, jpegBytes(t, quadrants(400, 400)), 0); err != nil {
		t.Fatal(err)
	}
	dng := filepath.Join(dir, "a.DNG")
	if err := os.WriteFile(dng, []byte("II*\x00"), 0o600); err != nil {
		t.Fatal(err)
	}
	paths := map[string]string{dir: "folder", filepath.Join(dir, "none.jpg"): "no such file", dng: "raw"}
	if os.Getuid() != 0 { // root reads anything
		paths[locked] = "permission"
	}
	for path, says := range paths {
		var fe *FileError
		if _, err := Load(path); !errors.As(err, &fe) || !strings.Contains(fe.Error(), says) {
			t.Errorf("%s: error %v", says, err)
		}
	}
}

// Every prefix of a sound file is refused, whatever the cut.
func TestDecodeAnyCut(t *testing.T) {
	jpg := withOrientation(jpegBytes(t, quadrants(340, 330)), 6)
	for n := 0; n < len(jpg); n += 1 + len(jpg)/300 {
		if _, err := sniff(jpg[:n]); err == nil {
			t.Fatalf("the first %d of %d bytes pass for a photo", n, len(jpg))
		}
	}
	if _, err := sniff(jpg); err != nil {
		t.Error(err)
	}
}

// The published samples: eight photos of one scene, the number in the name their
// orientation (MIT, see ../shared/truth/README.md). Upright they are the same
// picture to within JPEG's loss.
func TestDecodePublishedOrientations(t *testing.T) {
	dir := filepath.Join("..", "..", "shared", "truth", "exif_orientation_recurser")
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("TRUTH MISSING: %v", err)
	}
	var first *Linear
	for o := 1; o <= 8; o++ {
		p, err := Load(filepath.Join(dir, fmt.Sprintf("Landscape_%d.jpg", o)))
		if err != nil {
			t.Fatal(err)
		}
		if p.Meta.Orientation != o || p.W != 1800 || p.H != 1200 {
			t.Errorf("%d: orientation %d, %d x %d", o, p.Meta.Orientation, p.W, p.H)
			continue
		}
		small := LinearPhoto(p, 30)
		if first == nil {
			first = small
		}
		var worst float64
		for i := range small.R {
			x, y := float64(i%small.W)/float64(small.W), float64(i/small.W)/float64(small.H)
			if x > 0.4 && x < 0.6 && y > 0.35 && y < 0.62 {
				continue // the digit that tells the eight apart
			}
			worst = math.Max(worst, math.Abs(float64(small.Lum(i)-first.Lum(i))))
		}
		if worst > 0.02 { // blocks of 900 pixels: JPEG's loss averages out
			t.Errorf("orientation %d: luminance differs by %.3f", o, worst)
		}
	}
}
