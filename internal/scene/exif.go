package scene

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"math"
	"time"
)

// Exif is what a photo says of itself.
type Exif struct {
	Taken        time.Time // with its zone; the offset is written too
	LatitudeDeg  float64   // north positive
	LongitudeDeg float64   // east positive
	// Orientation is EXIF's 1..8: how the stored picture must be turned. 0 is 1.
	Orientation       int
	WidthPx, HeightPx int // as stored
	// Focal35mm is the focal length for a frame 36 mm wide, whole millimetres; 0
	// is Lens35mm.
	Focal35mm int
	// Quality of the JPEG, 1..100; 0 is a phone's usual.
	Quality int
}

// Tags of Exif 2.32 (CIPA DC-008).
const (
	tagMake, tagModel, tagOrientation = 0x010f, 0x0110, 0x0112
	tagExifIFD, tagGPSIFD             = 0x8769, 0x8825
	tagVersion, tagOriginal           = 0x9000, 0x9003
	tagOffsetOriginal, tagFocal       = 0x9011, 0x920a
	tagPixelX, tagPixelY, tagFocal35  = 0xa002, 0xa003, 0xa405
	tagLatRef, tagLat                 = 1, 2
	tagLonRef, tagLon                 = 3, 4

	typeByte, typeASCII, typeShort, typeLong, typeRational, typeUndefined = 1, 2, 3, 4, 5, 7
)

// entry is one field of a directory, its value already in file order.
type entry struct {
	tag, kind uint16
	count     uint32
	data      []byte
}

func ascii(tag uint16, s string) entry {
	return entry{tag, typeASCII, uint32(len(s) + 1), append([]byte(s), 0)}
}

func short(tag uint16, v int) entry {
	return entry{tag, typeShort, 1, binary.BigEndian.AppendUint16(nil, uint16(v))}
}

func long(tag uint16, v int) entry {
	return entry{tag, typeLong, 1, binary.BigEndian.AppendUint32(nil, uint32(v))}
}

func rationals(tag uint16, v ...[2]uint32) entry {
	e := entry{tag: tag, kind: typeRational, count: uint32(len(v))}
	for _, r := range v {
		e.data = binary.BigEndian.AppendUint32(e.data, r[0])
		e.data = binary.BigEndian.AppendUint32(e.data, r[1])
	}
	return e
}

// directory lays out one IFD that starts at an offset into the TIFF block; long
// values follow it. No further directory is linked.
func directory(at int, entries []entry) []byte {
	var head, tail bytes.Buffer
	body := at + 2 + 12*len(entries) + 4
	put := func(v any) { _ = binary.Write(&head, binary.BigEndian, v) } // a Buffer does not fail
	put(uint16(len(entries)))
	for _, e := range entries {
		put(e.tag)
		put(e.kind)
		put(e.count)
		if len(e.data) <= 4 {
			head.Write(append(e.data, make([]byte, 4-len(e.data))...))
			continue
		}
		put(uint32(body + tail.Len()))
		tail.Write(e.data)
		if tail.Len()%2 == 1 {
			tail.WriteByte(0)
		}
	}
	put(uint32(0))
	return append(head.Bytes(), tail.Bytes()...)
}

// tiff returns the TIFF block: header, IFD0, Exif IFD, GPS IFD.
func (x Exif) tiff() []byte {
	const header = 8
	zero := x.main(0, 0)
	exifAt := header + len(directory(header, zero))
	exif := directory(exifAt, x.detail())
	gpsAt := exifAt + len(exif)
	out := []byte{'M', 'M', 0, 42, 0, 0, 0, header}
	out = append(out, directory(header, x.main(exifAt, gpsAt))...)
	out = append(out, exif...)
	return append(out, directory(gpsAt, x.place())...)
}

func (x Exif) main(exifAt, gpsAt int) []entry {
	return []entry{
		ascii(tagMake, "Invented Camera"), ascii(tagModel, "Rendered orchard, not a photograph"),
		short(tagOrientation, max(1, x.Orientation)), long(tagExifIFD, exifAt), long(tagGPSIFD, gpsAt),
	}
}

func (x Exif) detail() []entry {
	return []entry{
		{tagVersion, typeUndefined, 4, []byte("0232")},
		ascii(tagOriginal, x.Taken.Format("2006:01:02 15:04:05")),
		ascii(tagOffsetOriginal, x.Taken.Format("-07:00")),
		// 4.2 mm, a phone's, for the usual frame
		rationals(tagFocal, [2]uint32{uint32(4200 * cmp.Or(x.Focal35mm, Lens35mm) / Lens35mm), 1000}),
		long(tagPixelX, x.WidthPx), long(tagPixelY, x.HeightPx),
		short(tagFocal35, cmp.Or(x.Focal35mm, Lens35mm)),
	}
}

func (x Exif) place() []entry {
	ns, ew := "N", "E"
	if x.LatitudeDeg < 0 {
		ns = "S"
	}
	if x.LongitudeDeg < 0 {
		ew = "W"
	}
	return []entry{
		{0, typeByte, 4, []byte{2, 3, 0, 0}},
		ascii(tagLatRef, ns), rationals(tagLat, sexagesimal(x.LatitudeDeg)...),
		ascii(tagLonRef, ew), rationals(tagLon, sexagesimal(x.LongitudeDeg)...),
	}
}

// sexagesimal splits degrees into degrees, minutes and ten-thousandths of seconds.
func sexagesimal(deg float64) [][2]uint32 {
	const part = 10000
	whole := uint64(math.Round(math.Abs(deg) * 3600 * part))
	return [][2]uint32{
		{uint32(whole / (3600 * part)), 1},
		{uint32(whole / (60 * part) % 60), 1},
		{uint32(whole % (60 * part)), part},
	}
}
