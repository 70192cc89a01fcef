package vision

import (
	"bytes"
	"encoding/binary"
)

const (
	pngSignature = "\x89PNG\r\n\x1a\n"
	// pngIHDRBytes: width, height, bit depth, colour type and three more
	// (ISO/IEC 15948, 11.2.2).
	pngIHDRBytes = 13
	// deflateMost is how many times smaller zlib's coding makes a picture at best
	// (zlib's own technical notes: 1032 to 1).
	deflateMost = 1032
)

// pngHeader reads IHDR, the first chunk, and walks the others to IEND. 16-bit PNGs
// are read too: the decoder keeps the upper eight bits of each code.
func pngHeader(data []byte) (fileHeader, error) {
	head := fileHeader{format: formatPNG}
	for at := len(pngSignature); at+12 <= len(data); {
		n := int64(binary.BigEndian.Uint32(data[at:]))
		kind := string(data[at+4 : at+8])
		if int64(at)+12+n > int64(len(data)) {
			break
		}
		body := data[at+8 : at+8+int(n)]
		switch {
		case (kind == "IHDR") != (at == len(pngSignature)) || at == len(pngSignature) && len(body) != pngIHDRBytes:
			return head, broken("the file is damaged: the PNG's header is not one, or not in its place")
		case kind == "IHDR":
			readIHDR(body, &head)
		case kind == "IEND":
			return head, nil
		}
		at += 12 + int(n)
	}
	return head, broken("the file is cut short: the PNG does not reach its end")
}

func readIHDR(body []byte, head *fileHeader) {
	head.w, head.h = declaredSize(binary.BigEndian.Uint32(body)), declaredSize(binary.BigEndian.Uint32(body[4:]))
	// By colour type (ISO/IEC 15948, table 11.1); of another the decoder takes none.
	samples := map[byte]int64{0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[body[9]]
	head.least = int64(head.h) * (int64(head.w) * samples * int64(body[8]) / 8) / deflateMost
}

// declaredSize keeps a declared side within what two of them can be multiplied
// to without overflow; anything near it is refused as too large anyway.
func declaredSize(v uint32) int { return int(min(v, 1<<30)) }

// webpHeader reads a WebP's size (RFC 9649) and checks that all of it is there.
func webpHeader(data []byte) (fileHeader, error) {
	head := fileHeader{format: formatWebP}
	if int64(binary.LittleEndian.Uint32(data[4:]))+8 > int64(len(data)) || len(data) < 30 {
		return head, broken("the file is cut short: the WebP does not reach its end")
	}
	body := data[20:]
	switch kind := string(data[12:16]); kind {
	case "VP8 ": // frame tag, start code 9d 01 2a, then 14 bits each
		if !bytes.Equal(body[3:6], []byte{0x9d, 0x01, 0x2a}) {
			return head, broken("the WebP holds no key frame")
		}
		head.w = int(binary.LittleEndian.Uint16(body[6:])) & 0x3fff
		head.h = int(binary.LittleEndian.Uint16(body[8:])) & 0x3fff
	case "VP8L":
		bits := binary.LittleEndian.Uint32(body[1:])
		head.w, head.h = int(bits&0x3fff)+1, int(bits>>14&0x3fff)+1
	case "VP8X":
		if body[0]&0x02 != 0 {
			return head, unsupported("give one photo", "the WebP is an animation")
		}
		head.w = int(body[4]) | int(body[5])<<8 | int(body[6])<<16 + 1
		head.h = int(body[7]) | int(body[8])<<8 | int(body[9])<<16 + 1
	default:
		return head, broken("the WebP holds no picture")
	}
	return head, nil
}
