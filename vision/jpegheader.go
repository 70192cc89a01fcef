package vision

import "bytes"

// JPEG markers (ITU-T T.81, table B.1).
const (
	jpegSOF0, jpegSOF15      = 0xC0, 0xCF
	jpegDHT, jpegJPG         = 0xC4, 0xC8
	jpegDAC                  = 0xCC
	jpegRST0, jpegRST7       = 0xD0, 0xD7
	jpegEOI, jpegSOS         = 0xD9, 0xDA
	jpegTEM                  = 0x01
	jpegColours, jpegGreys   = 3, 1
	jpegInks, jpegSampleBits = 4, 8
)

// jpegHeader walks a JPEG from marker to marker to its end: the decoder fills
// what is missing with grey and says nothing, so a file cut short must be found
// here.
func jpegHeader(data []byte) (fileHeader, error) {
	head := fileHeader{format: formatJPEG}
	sized, scanned := false, false
	for at := 2; ; {
		marker, next, ok := jpegMarker(data, at)
		if !ok {
			return head, broken("the file is cut short: the JPEG does not reach its end")
		}
		at = next
		switch {
		case marker == jpegEOI && sized && scanned:
			return head, nil
		case marker == jpegEOI:
			return head, broken("the JPEG holds no picture")
		case marker == jpegTEM || marker >= jpegRST0 && marker <= jpegRST7:
			continue
		}
		segment, after, ok := jpegSegment(data, at)
		if !ok {
			return head, broken("the file is cut short: the JPEG does not reach its end")
		}
		at = after
		if isSOF(marker) && !sized {
			if err := readSOF(segment, &head); err != nil {
				return head, err
			}
			sized = true
		}
		if marker == jpegSOS {
			scanned = true
			at = endOfScan(data, at)
		}
	}
}

func isSOF(m byte) bool {
	return m >= jpegSOF0 && m <= jpegSOF15 && m != jpegDHT && m != jpegJPG && m != jpegDAC
}

// jpegMarker finds the next marker at or after a place; filling bytes before it
// are passed over.
func jpegMarker(data []byte, at int) (marker byte, next int, ok bool) {
	for at < len(data) {
		i := bytes.IndexByte(data[at:], 0xFF)
		if i < 0 {
			return 0, 0, false
		}
		at += i
		for at < len(data) && data[at] == 0xFF {
			at++
		}
		if at < len(data) && data[at] != 0 {
			return data[at], at + 1, true
		}
	}
	return 0, 0, false
}

func jpegSegment(data []byte, at int) (segment []byte, after int, ok bool) {
	if at+2 > len(data) {
		return nil, 0, false
	}
	n := int(data[at])<<8 | int(data[at+1])
	if n < 2 || at+n > len(data) {
		return nil, 0, false
	}
	return data[at+2 : at+n], at + n, true
}

// endOfScan passes over entropy-coded data: FF 00 is data, FF D0..D7 a restart.
func endOfScan(data []byte, at int) int {
	for at < len(data) {
		i := bytes.IndexByte(data[at:], 0xFF)
		if i < 0 || at+i+1 >= len(data) {
			return len(data)
		}
		at += i
		if m := data[at+1]; m != 0 && m != 0xFF && (m < jpegRST0 || m > jpegRST7) {
			return at
		}
		at++
	}
	return at
}

// readSOF reads the frame header: sample bits, height, width, components.
func readSOF(s []byte, head *fileHeader) error {
	if len(s) < 6 {
		return broken("the JPEG's frame header is cut short")
	}
	head.h, head.w = int(s[1])<<8|int(s[2]), int(s[3])<<8|int(s[4])
	switch {
	case s[0] != jpegSampleBits:
		return unsupported(mendExport, "the JPEG has %d bits a colour, 8 are read", s[0])
	case s[5] == jpegInks:
		return unsupported(mendExport, "the JPEG is in printing colours (CMYK), not in a camera's RGB")
	case s[5] != jpegColours && s[5] != jpegGreys:
		return unsupported(mendExport, "the JPEG has %d colour channels, 1 or 3 are read", s[5])
	}
	return nil
}
