package vision

import (
	"bytes"
	"encoding/binary"
)

// TIFF tags and values (TIFF 6.0; DNG 1.4 for the two of raw files).
const (
	tiffSubfileType, tiffWidth, tiffHeight = 254, 256, 257
	tiffBits, tiffPhoto                    = 258, 262
	tiffStripOffsets, tiffStripBytes       = 273, 279
	tiffTileOffsets, tiffTileBytes         = 324, 325
	tiffSubIFDs, tiffDNGVersion            = 330, 50706
	tiffCMYK, tiffColourFilter             = 5, 32803
	tiffShort, tiffLong                    = 3, 4
	tiffOrientation                        = 274
	tiffTileWidth, tiffTileHeight          = 322, 323
	tiffCoding, tiffUncoded                = 259, 1
	// tiffMaxEntries may stand in a directory; real ones have under 100.
	tiffMaxEntries = 1000
	// tiffMaxTilePx: the decoder makes room for a whole tile, however small the
	// picture. Tiles of 256 to 1024 are common practice; the limit is ours.
	tiffMaxTilePx = 4096
	// tiffMostTimes is how many times smaller any of TIFF's codings makes a picture at
	// best: LZW's codes of 12 bits stand for 4096 bytes at most (TIFF 6.0, section 13).
	tiffMostTimes = 4096
)

type tiffFile struct {
	data  []byte
	order binary.ByteOrder
	tags  map[uint16]tiffEntry
}

type tiffEntry struct {
	kind  uint16
	count uint32
	at    int // where in the file the value (or its offset) stands
}

// tiffHeader reads the first directory of a TIFF: raw files, printing colours
// and pixels missing at the end are refused.
func tiffHeader(data []byte) (fileHeader, error) {
	head := fileHeader{format: formatTIFF}
	t, ok := openTIFF(data)
	if !ok {
		return head, broken("the TIFF's directory cannot be read")
	}
	if t.isRaw() {
		return head, unsupported(mendRaw, "the file is a camera's raw file")
	}
	w, okW := t.value(tiffWidth, 0)
	h, okH := t.value(tiffHeight, 0)
	if !okW || !okH {
		return head, broken("the TIFF does not say how large it is")
	}
	head.w, head.h = declaredSize(w), declaredSize(h)
	head.least = int64(head.w) * int64(head.h)
	if coding, _ := t.value(tiffCoding, 0); coding > tiffUncoded {
		head.least /= tiffMostTimes
	}
	if bits, ok := t.value(tiffBits, 0); !ok || bits != 8 && bits != 16 {
		return head, unsupported(mendExport, "the TIFF has %d bits a colour, 8 and 16 are read", max(bits, 1))
	}
	if !t.tilesFit() {
		return head, unsupported(mendExport, "the TIFF is stored in tiles far larger than the photo")
	}
	if photo, _ := t.value(tiffPhoto, 0); photo == tiffCMYK {
		return head, unsupported(mendExport, "the TIFF is in printing colours (CMYK), not in a camera's RGB")
	}
	if !t.reaches(tiffStripOffsets, tiffStripBytes) || !t.reaches(tiffTileOffsets, tiffTileBytes) {
		return head, broken("the file is cut short: the TIFF's pixels do not reach their end")
	}
	return head, nil
}

func openTIFF(data []byte) (*tiffFile, bool) {
	if len(data) < 8 {
		return nil, false
	}
	t := &tiffFile{data: data, order: binary.LittleEndian, tags: map[uint16]tiffEntry{}}
	if data[0] == 'M' {
		t.order = binary.BigEndian
	}
	at := int64(t.order.Uint32(data[4:]))
	if at+2 > int64(len(data)) {
		return nil, false
	}
	n := int(t.order.Uint16(data[at:]))
	if n > tiffMaxEntries {
		return nil, false
	}
	for i := range n {
		e := int(at) + 2 + 12*i
		if e+12 > len(data) {
			return nil, false
		}
		tag := t.order.Uint16(data[e:])
		if _, twice := t.tags[tag]; twice {
			return nil, false // decoders differ in which of the two they take
		}
		t.tags[tag] = tiffEntry{t.order.Uint16(data[e+2:]), t.order.Uint32(data[e+4:]), e + 8}
	}
	return t, true
}

// tilesFit says whether the tiles, where there are any, are of a size that a photo
// program writes.
func (t *tiffFile) tilesFit() bool {
	for _, tag := range []uint16{tiffTileWidth, tiffTileHeight} {
		if _, there := t.tags[tag]; !there {
			continue
		}
		if side, ok := t.value(tag, 0); !ok || side > tiffMaxTilePx {
			return false
		}
	}
	return true
}

// value returns the i-th number of a tag of type short or long.
func (t *tiffFile) value(tag uint16, i int) (uint32, bool) {
	e, ok := t.tags[tag]
	size := map[uint16]int{tiffShort: 2, tiffLong: 4}[e.kind]
	if !ok || size == 0 || i < 0 || int64(i) >= int64(e.count) {
		return 0, false
	}
	at := int64(e.at)
	if int64(e.count)*int64(size) > 4 {
		at = int64(t.order.Uint32(t.data[e.at:]))
	}
	at += int64(i) * int64(size)
	if at+int64(size) > int64(len(t.data)) {
		return 0, false
	}
	if size == 2 {
		return uint32(t.order.Uint16(t.data[at:])), true
	}
	return t.order.Uint32(t.data[at:]), true
}

// isRaw: a DNG says so; others keep the sensor's pixels in a sub-directory and a
// reduced picture in the first.
func (t *tiffFile) isRaw() bool {
	if _, dng := t.tags[tiffDNGVersion]; dng {
		return true
	}
	photo, _ := t.value(tiffPhoto, 0)
	_, sub := t.tags[tiffSubIFDs]
	reduced, _ := t.value(tiffSubfileType, 0)
	return photo == tiffColourFilter || sub && reduced&1 == 1
}

// reaches tells whether the last piece of pixel data lies within the file; true
// where there are no such pieces.
func (t *tiffFile) reaches(offsets, sizes uint16) bool {
	e, ok := t.tags[offsets]
	if !ok {
		return true
	}
	last := int(e.count) - 1
	from, ok1 := t.value(offsets, last)
	n, ok2 := t.value(sizes, last)
	return ok1 && ok2 && int64(from)+int64(n) <= int64(len(t.data))
}

// tiffAsStored returns a copy whose orientation says "as stored": OpenCV 4.6
// turns a TIFF in its own, incomplete way even when told not to.
func tiffAsStored(data []byte) []byte {
	t, ok := openTIFF(data)
	if !ok {
		return data
	}
	e, ok := t.tags[tiffOrientation]
	if !ok {
		return data
	}
	out := bytes.Clone(data)
	entry := out[e.at-8:] // tag, type, count, value: whatever type it had, one short now
	t.order.PutUint16(entry[2:], tiffShort)
	t.order.PutUint32(entry[4:], 1)
	t.order.PutUint16(entry[8:], 1)
	return out
}
