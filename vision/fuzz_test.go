package vision

import (
	"bytes"
	"encoding/binary"
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

// EXIF is read within this much memory for each byte of the file, and this much
// beside: the library copies blocks into buffers of its own, and boxes every number
// of a list of up to 10000 bytes.
const (
	metaBytesPerByte = 400
	metaBytes        = 4 << 20
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
	for name, v := range map[string]*float64{"focal": m.FocalMM, "35 mm": m.Focal35MM, "exposure": m.ExposureSec, "ISO": m.ISO, "distance": m.SubjectDistM, "zoom": m.DigitalZoom} {
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

// exifField is one entry of a directory: its value as bytes, big-endian.
type exifField struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

// exifTIFF lays out directories one after another, big-endian; a field with the
// value nil of type long points at the next directory, one of "loop" at the first.
func exifTIFF(dirs ...[]exifField) []byte {
	out := []byte("MM\x00*\x00\x00\x00\x08")
	for i, dir := range dirs {
		start := len(out)
		after := start + 2 + 12*len(dir) + 4
		var heap []byte
		next := uint32(after)
		for _, e := range dir {
			if len(e.value) > 4 {
				next += uint32(len(e.value) + len(e.value)%2)
			}
		}
		out = binary.BigEndian.AppendUint16(out, uint16(len(dir)))
		for _, e := range dir {
			out = binary.BigEndian.AppendUint16(out, e.tag)
			out = binary.BigEndian.AppendUint16(out, e.kind)
			out = binary.BigEndian.AppendUint32(out, e.count)
			switch {
			case e.value == nil:
				out = binary.BigEndian.AppendUint32(out, next)
			case string(e.value) == "loop":
				out = binary.BigEndian.AppendUint32(out, 8)
			case len(e.value) <= 4:
				out = append(out, append(bytes.Clone(e.value), make([]byte, 4-len(e.value))...)...)
			default:
				out = binary.BigEndian.AppendUint32(out, uint32(after+len(heap)))
				heap = append(append(heap, e.value...), make([]byte, len(e.value)%2)...)
			}
		}
		link := uint32(0)
		if i == len(dirs)-1 {
			link = uint32(start) // the last directory is followed by itself
		}
		out = append(binary.BigEndian.AppendUint32(out, link), heap...)
	}
	return out
}

// asJPEGExif wraps an EXIF block in a JPEG without a picture.
func asJPEGExif(block []byte) []byte {
	out := append([]byte("\xff\xd8\xff\xe1"), byte((len(block)+8)>>8), byte(len(block)+8))
	return append(append(append(out, "Exif\x00\x00"...), block...), 0xff, 0xd9)
}

// wildExif are EXIF blocks with what no camera writes.
func wildExif() [][]byte {
	const ascii, short, long, rational = 2, 3, 4, 5
	text := func(tag uint16, s string) exifField {
		return exifField{tag, ascii, uint32(len(s) + 1), append([]byte(s), 0)}
	}
	zeros := exifField{0x920a, rational, 1, make([]byte, 8)} // 0/0
	hostile := []exifField{text(0x010f, "<script>alert(1)</script>\x1b[31m\n"), text(0x0110, "=HYPERLINK(\"x\")\u202e"),
		{0x0112, short, 1, []byte{0, 9}}, {0x8769, long, 1, nil}}
	exif := []exifField{text(0x9003, "2026:08:14 12:00:00"), text(0x9011, "+24:00"), zeros,
		{0xa405, short, 1, []byte{0xff, 0xff}}, {0x829a, rational, 1, []byte{0, 0, 0, 1, 0, 0, 0, 0}}, {0x8827, short, 0xffffffff, []byte{0, 1, 2, 3}}}
	gps := []exifField{text(1, "S"), {2, rational, 3, bytes.Repeat([]byte{0xff, 0xff, 0xff, 0xff, 0, 0, 0, 1}, 3)},
		text(3, "E"), {4, rational, 3, make([]byte, 24)}}
	loops := []exifField{{0x8769, long, 1, []byte("loop")}, {0x8825, long, 1, []byte("loop")}, {0x014a, long, 1, []byte("loop")}}
	blocks := [][]byte{exifTIFF(hostile, exif), exifTIFF([]exifField{{0x8825, long, 1, nil}}, gps), exifTIFF(loops)}
	out := blocks
	for _, b := range blocks {
		out = append(out, asJPEGExif(b))
	}
	webp := append([]byte("RIFF\xff\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x08\x00\x00\x00\x40\x01\x00\x40\x01\x00EXIF"), byte(len(blocks[0])), 0, 0, 0)
	out = append(out, append(webp, blocks[0]...))
	return append(out, []byte(pngSignature+"\x00\x00\x00\x08eXIfMM\x00*\x00\x00\x00\x08crc!"))
}

// The wild blocks once more by name: nothing of them is believed, and a clock that
// is 24 hours from UTC is read without its offset.
func TestReadMetaBelievesNoWildExif(t *testing.T) {
	blocks := wildExif()
	m := ReadMeta(blocks[0])
	if m.Make != "<script>alert(1)</script>[31m" || m.Model != `=HYPERLINK("x")` {
		t.Errorf("make %q, model %q: want them on one line without control characters", m.Make, m.Model)
	}
	if m.TakenAt == nil || m.HasZone || m.TakenAt.Format(time.RFC3339) != "2026-08-14T12:00:00Z" {
		t.Errorf("taken at %v, zone %v: want the clock's reading without the offset of 24 hours", m.TakenAt, m.HasZone)
	}
	if m.FocalMM != nil || m.Focal35MM != nil || m.ExposureSec != nil || m.Orientation != 1 {
		t.Errorf("focal %v %v, exposure %v, orientation %d: want nothing", m.FocalMM, m.Focal35MM, m.ExposureSec, m.Orientation)
	}
	if m := ReadMeta(blocks[1]); m.LatDeg != nil || m.LonDeg != nil {
		t.Errorf("place %v %v: want none", *m.LatDeg, *m.LonDeg)
	}
	for _, loop := range []int{2, 5} {
		checkMeta(t, ReadMeta(blocks[loop]))
	}
}

// Bombs: small files that declare much are refused by what they declare, in less
// memory than the picture would take.
func TestDecodeRefusesBombs(t *testing.T) {
	jpg, tif := smallJPEG(t, soft(400, 400), 20), tiffBytes(t, soft(400, 400))
	scan := jpg[bytes.Index(jpg, []byte("\xff\xda")):]
	many := bytes.Clone(jpg[:len(jpg)-2])
	for range jpegMaxScans {
		many = append(many, scan[:14]...)
	}
	large := bytes.Clone(jpg)
	sof := bytes.Index(large, []byte("\xff\xc0"))
	binary.BigEndian.PutUint32(large[sof+5:], 9999<<16|9999)
	progressive := append(bytes.Clone(large[:len(large)-2]), append(append(bytes.Clone(scan[:14]), make([]byte, 300_000)...), 0xff, 0xd9)...)
	arithmetic := bytes.Clone(jpg)
	arithmetic[sof+1] = 0xc9
	twice := append(append(bytes.Clone(jpg[:sof]), jpg[sof:sof+19]...), jpg[sof:]...)
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"a JPEG of 100 megapixels in a few kB":   {large, "cannot hold"},
		"a JPEG of very many scans":              {append(many, 0xff, 0xd9), "scans"},
		"a progressive JPEG of 99 megapixels":    {progressive, "progressive"},
		"a JPEG of another coding":               {arithmetic, "cameras do not use"},
		"a JPEG that declares two sizes":         {twice, "twice"},
		"a PNG of 99 megapixels in 70 bytes":     {declaring(9999, 9900), "cannot hold"},
		"a PNG of two headers":                   {append(declaring(400, 400)[:33], declaring(400, 400)[8:]...), "header"},
		"a TIFF of 99 megapixels in 640 kB":      {withTIFFTag(t, withTIFFTag(t, tif, tiffWidth, tiffWidth, 9999), tiffHeight, tiffHeight, 9999), "cannot hold"},
		"a TIFF with tiles of 60000 pixels":      {withTIFFTag(t, tif, 296, tiffTileWidth, 60000), "tiles"},
		"a TIFF with two widths":                 {withTIFFTag(t, tif, 296, tiffWidth, 60000), "directory"},
		"a TIFF whose directory has 2000 fields": {longDirectory(tif), "directory"},
	} {
		var err error
		took := allocated(func() { _, err = Decode(c.data) })
		var fe *FileError
		if !errors.As(err, &fe) || !bytes.Contains([]byte(fe.Error()), []byte(c.says)) {
			t.Errorf("%s: %v, want it to say %q", name, err, c.says)
		}
		if took > 2<<20 {
			t.Errorf("%s: took %d bytes to refuse", name, took)
		}
	}
}

// withTIFFTag gives an entry of a little-endian TIFF another tag and value.
func withTIFFTag(t *testing.T, data []byte, from, to uint16, v uint32) []byte {
	t.Helper()
	out := bytes.Clone(data)
	at := int(binary.LittleEndian.Uint32(out[4:])) + 2
	for i := range int(binary.LittleEndian.Uint16(out[at-2:])) {
		e := out[at+12*i:]
		if binary.LittleEndian.Uint16(e) == from {
			binary.LittleEndian.PutUint16(e, to)
			binary.LittleEndian.PutUint16(e[2:], tiffLong)
			binary.LittleEndian.PutUint32(e[8:], v)
			return out
		}
	}
	t.Fatalf("the TIFF has no tag %d", from)
	return nil
}

func longDirectory(data []byte) []byte {
	out := append(bytes.Clone(data), make([]byte, 12*2000)...)
	binary.LittleEndian.PutUint16(out[binary.LittleEndian.Uint32(out[4:]):], 2000)
	return out
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
