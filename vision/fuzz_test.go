package vision

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// allocated returns how many bytes of memory do takes, freed again or not.
func allocated(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// told is the promise of every refusal: a *FileError with a reason and a mend.
func told(t *testing.T, err error) {
	t.Helper()
	var fe *FileError
	if !errors.As(err, &fe) || fe.Reason == "" || fe.Mend == "" || fe.Kind != FileBroken && fe.Kind != FileUnsupported {
		t.Errorf("error %T, %v: want a *FileError that says why and what to do", err, err)
	}
}

// A header is read within this much memory beside the file's own bytes: it holds a
// TIFF's directory of 1000 entries as a map, and the words of an error.
const headerBytes = 256 << 10

// FuzzSniff: no bytes panic the reader of headers; a size that is let through lies
// within the limits and can lie in the file; a refusal says what to do; no declared
// size makes it take memory.
func FuzzSniff(f *testing.F) {
	jpg := jpegBytes(f, quadrants(330, 330))
	for _, seed := range [][]byte{nil, jpg[:300], withOrientation(jpg, 6)[:400], pngBytes(f, quadrants(330, 330))[:200],
		tiffBytes(f, quadrants(8, 8)), declaring(1<<31, 3), []byte("RIFF\x20\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00\xff\xff\x00\xff\xff\x00........."),
		[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), []byte("\xff\xd8\xff\xc0\x00\x08"), []byte("MM\x00*\xff\xff\xff\xff")} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var head fileHeader
		var err error
		if took := allocated(func() { head, err = sniff(data) }); took > headerBytes {
			t.Errorf("took %d bytes for a file of %d", took, len(data))
		}
		if err != nil {
			told(t, err)
			return
		}
		if min(head.w, head.h) < minShortSidePx || head.w*head.h > maxPixels || head.format == 0 {
			t.Errorf("let %d x %d of format %d through", head.w, head.h, head.format)
		}
		if head.format == formatJPEG && len(data)*8 < (head.w/8)*(head.h/8) {
			t.Errorf("let %d x %d through in %d bytes", head.w, head.h, len(data))
		}
	})
}

// EXIF is read within this much memory for each byte of the file, as the library
// boxes every number of a list, and this much beside: it makes room for a block by
// the length that stands before it, up to 10 MiB (its maxBufSize), before it looks
// whether the file is as long. Decode has looked before.
const (
	metaBytesPerByte = 400
	metaBytes        = 2 * 10 << 20
)

// FuzzReadMeta: no bytes panic the reader of EXIF or make it loop or fill the
// memory; what it gives is finite, within the ranges that Meta names, printable, and
// can be kept as JSON.
func FuzzReadMeta(f *testing.F) {
	for _, e := range wildExif() {
		f.Add(e)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var m Meta
		began := time.Now()
		took := allocated(func() { m = ReadMeta(data) })
		if took > metaBytes+metaBytesPerByte*uint64(len(data)) {
			t.Errorf("took %d bytes for a file of %d", took, len(data))
		}
		if d := time.Since(began); d > 5*time.Second { // a loop, not a slow machine
			t.Errorf("took %v for %d bytes", d, len(data))
		}
		checkMeta(t, m)
	})
}

func checkMeta(t *testing.T, m Meta) {
	t.Helper()
	if m.Orientation < 1 || m.Orientation > 8 {
		t.Errorf("orientation %d", m.Orientation)
	}
	if (m.LatDeg == nil) != (m.LonDeg == nil) || m.LatDeg != nil && !(math.Abs(*m.LatDeg) <= 90 && math.Abs(*m.LonDeg) <= 180) {
		t.Errorf("place %v %v", m.LatDeg, m.LonDeg)
	}
	for name, v := range map[string]*float64{"focal": m.FocalMM, "35 mm": m.Focal35MM, "exposure": m.ExposureSec, "f-number": m.FNumber, "ISO": m.ISO, "distance": m.SubjectDistM, "zoom": m.DigitalZoom} {
		if v != nil && (!(*v > 0) || math.IsInf(*v, 0)) {
			t.Errorf("%s %g", name, *v)
		}
	}
	if f := m.F35(); f != 0 && !(f >= leastFocal35MM && f <= mostFocalMM) {
		t.Errorf("35 mm equivalent %g", f)
	}
	for _, s := range []string{m.Make, m.Model, m.ImageUniqueID} {
		if !utf8.ValidString(s) || utf8.RuneCountInString(s) > maxMetaLetters || bytes.ContainsFunc([]byte(s), func(r rune) bool { return !unicode.IsPrint(r) }) {
			t.Errorf("text %q", s)
		}
	}
	if m.TakenAt == nil {
		return
	}
	var back time.Time
	text, err := json.Marshal(m.TakenAt)
	if err == nil {
		err = json.Unmarshal(text, &back)
	}
	if err != nil || !back.Equal(*m.TakenAt) {
		t.Errorf("taken at %v, as JSON %s: %v", m.TakenAt, text, err)
	}
}

// FuzzDecode: no bytes crash the decoders behind Decode; a photo that comes out has
// the size that its header declared, turned by its orientation, and all its pixels.
func FuzzDecode(f *testing.F) {
	small := soft(320, 328)
	for _, seed := range [][]byte{smallJPEG(f, small, 20), withOrientation(smallJPEG(f, small, 5), 6), pngBytes(f, small)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 64<<10 {
			t.Skip("larger than what is worth a run")
		}
		p, err := Decode(data)
		if err != nil {
			told(t, err)
			return
		}
		head, err := sniff(data)
		if err != nil {
			t.Fatalf("decoded, though its header is refused: %v", err)
		}
		checkMeta(t, p.Meta)
		w, h := head.w, head.h
		if p.Meta.Orientation >= 5 {
			w, h = h, w
		}
		if p.W != w || p.H != h || p.FullW != w || p.FullH != h || len(p.Pix) != 3*w*h {
			t.Errorf("%d x %d, full %d x %d, %d bytes; want %d x %d", p.W, p.H, p.FullW, p.FullH, len(p.Pix), w, h)
		}
	})
}

// soft is a picture of large bright and dark squares: few bytes in any format, and
// no line of one colour at its foot.
func soft(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 + 150*((x/80+y/80)%2))
			m.SetRGBA(x, y, color.RGBA{v, v / 2, 255 - v, 255})
		}
	}
	return m
}

func smallJPEG(t testing.TB, m image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The published corrupt samples go through the same promises.
func TestBrokenSamplesKeepThePromises(t *testing.T) {
	dir := samplesDir(t)
	files, _ := filepath.Glob(filepath.Join(dir, "jpg", "*", "*.jpg"))
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		checkMeta(t, ReadMeta(data))
		if _, err := Decode(data); err != nil {
			told(t, err)
		}
	}
}
