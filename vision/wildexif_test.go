package vision

import (
	"bytes"
	"encoding/binary"
	"testing"
	"time"
)

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
