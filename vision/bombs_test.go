package vision

import (
	"bytes"
	"encoding/binary"
	"errors"
	"testing"
)

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
