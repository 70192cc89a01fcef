package vision

import "bytes"

// JPEG markers (ITU-T T.81, table B.1).
const (
	jpegSOF0, jpegSOF15      = 0xC0, 0xCF
	jpegSOF2                 = 0xC2 // progressive; SOF0 and SOF1 are sequential
	jpegDHT, jpegJPG         = 0xC4, 0xC8
	jpegDAC                  = 0xCC
	jpegRST0, jpegRST7       = 0xD0, 0xD7
	jpegEOI, jpegSOS         = 0xD9, 0xDA
	jpegTEM                  = 0x01
	jpegColours, jpegGreys   = 3, 1
	jpegInks, jpegSampleBits = 4, 8
	jpegBlockPx              = 8
	// jpegMaxScans: every scan makes the decoder walk the whole picture again, and a
	// scan can be 10 bytes long. Progressive photos have about 10 (libjpeg's own
	// script); the limit is ours.
	jpegMaxScans = 100
	// jpegMaxBuffered is how many pixels a JPEG of several scans may have: the decoder
	// keeps all of its coefficients, 3 to 6 bytes a pixel, beside the picture (libjpeg).
	// Cameras write one scan.
	jpegMaxBuffered = 50_000_000
)

// jpegHeader walks a JPEG from marker to marker to its end: the decoder fills
// what is missing with grey and says nothing, so a file cut short must be found
// here.
func jpegHeader(data []byte) (fileHeader, error) {
	head := fileHeader{format: formatJPEG}
	sized, scans, progressive := false, 0, false
	for at := 2; ; {
		marker, next, ok := jpegMarker(data, at)
		if !ok {
			return head, broken("the file is cut short: the JPEG does not reach its end")
		}
		at = next
		switch {
		case marker == jpegEOI && sized && scans > 0:
			return head, bufferable(head, progressive || scans > 1)
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
		switch {
		case isSOF(marker):
			if err := readSOF(marker, segment, sized, &head); err != nil {
				return head, err
			}
			sized, progressive = true, marker == jpegSOF2
		case marker == jpegSOS:
			if scans++; scans > jpegMaxScans {
				return head, unsupported(mendExport, "the JPEG is coded in over %d scans, which no camera does", jpegMaxScans)
			}
			at = endOfScan(data, at)
		}
	}
}

// bufferable refuses a picture that comes in several scans and is too large for that.
// One that is too large for any photo is told so by the caller.
func bufferable(head fileHeader, scans bool) error {
	px := int64(head.w) * int64(head.h)
	if !scans || px <= jpegMaxBuffered || px > maxPixels {
		return nil
	}
	return unsupported("export it as a plain JPEG (not progressive), at full size and not cropped",
		"the JPEG is progressive and has %d megapixels, %d at most of that kind", px/1_000_000, jpegMaxBuffered/1_000_000)
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

// readSOF reads the frame header: sample bits, height, width, components. Of the
// kinds of coding only those are taken that cameras and photo programs write.
func readSOF(marker byte, s []byte, again bool, head *fileHeader) error {
	if len(s) < 6 {
		return broken("the JPEG's frame header is cut short")
	}
	head.h, head.w = int(s[1])<<8|int(s[2]), int(s[3])<<8|int(s[4])
	// One component at least has all the blocks, and Huffman's code spends a bit or
	// more on each (ITU-T T.81, F.1.2).
	head.least = int64(head.w/jpegBlockPx) * int64(head.h/jpegBlockPx) / 8
	switch {
	case again:
		return broken("the JPEG declares its size twice")
	case marker > jpegSOF2:
		return unsupported(mendExport, "the JPEG is coded in a way that cameras do not use (lossless, hierarchical or arithmetic)")
	case s[0] != jpegSampleBits:
		return unsupported(mendExport, "the JPEG has %d bits a colour, 8 are read", s[0])
	case s[5] == jpegInks:
		return unsupported(mendExport, "the JPEG is in printing colours (CMYK), not in a camera's RGB")
	case s[5] != jpegColours && s[5] != jpegGreys:
		return unsupported(mendExport, "the JPEG has %d colour channels, 1 or 3 are read", s[5])
	}
	return nil
}
