package vision

import (
	"bytes"
	"path/filepath"
	"strings"
)

// fileFormat is what a file's first bytes say it is.
type fileFormat int

const (
	formatJPEG fileFormat = iota + 1
	formatPNG
	formatTIFF
	formatWebP
)

// fileHeader is what a photo file declares before a pixel is decoded.
type fileHeader struct {
	format fileFormat
	w, h   int // as stored, not turned
	// least is how many bytes a picture of this size takes at the very least, by
	// what its format can do; 0 where that is not told.
	least int64
}

const (
	// maxPixels is the largest photo taken: 100 megapixels are 300 MB decoded.
	maxPixels = 100_000_000
	// minShortSidePx is the least shorter side: below it a board at arm's length
	// has markers of under 20 px.
	minShortSidePx = 320
)

// sniff reads a photo file's header. It refuses what cannot be measured: kinds
// that are not read, sizes outside the limits, files cut short.
func sniff(data []byte) (fileHeader, error) {
	head, err := declared(data)
	if err != nil {
		return fileHeader{}, err
	}
	switch {
	case head.w <= 0 || head.h <= 0:
		return fileHeader{}, broken("the file declares a picture of %d x %d pixels", head.w, head.h)
	case int64(head.w)*int64(head.h) > maxPixels:
		return fileHeader{}, unsupported("take the photo at the camera's usual size (12 to 50 megapixels), or reduce it",
			"the photo is too large: %d x %d are %d megapixels, %d at most", head.w, head.h, int64(head.w)*int64(head.h)/1_000_000, maxPixels/1_000_000)
	case min(head.w, head.h) < minShortSidePx:
		return fileHeader{}, unsupported("use the original photo, not a preview or a copy sent by a messenger",
			"the photo is too small to measure: %d x %d pixels, at least %d on the shorter side", head.w, head.h, minShortSidePx)
	case int64(len(data)) < head.least:
		return fileHeader{}, broken("the file is damaged: %d bytes cannot hold the %d x %d pixels it declares", len(data), head.w, head.h)
	}
	return head, nil
}

func declared(data []byte) (fileHeader, error) {
	switch {
	case len(data) == 0:
		return fileHeader{}, broken("the file is empty (0 bytes)")
	case bytes.HasPrefix(data, []byte("\xff\xd8")):
		return jpegHeader(data)
	case bytes.HasPrefix(data, []byte(pngSignature)):
		return pngHeader(data)
	case isRaw(data):
		return fileHeader{}, unsupported(mendRaw, "the file is a camera's raw file")
	case bytes.HasPrefix(data, []byte("II*\x00")), bytes.HasPrefix(data, []byte("MM\x00*")):
		return tiffHeader(data)
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return webpHeader(data)
	case len(data) >= 12 && string(data[4:8]) == "ftyp":
		return fileHeader{}, boxError(data)
	}
	return fileHeader{}, otherError(data)
}

// isRaw knows raw files that do not pass for TIFF, and Canon's that does.
func isRaw(data []byte) bool {
	for _, magic := range []string{"FUJIFILMCCD-RAW", "IIRO", "IIRS", "MMOR", "IIU\x00"} {
		if bytes.HasPrefix(data, []byte(magic)) {
			return true
		}
	}
	return len(data) >= 10 && string(data[:4]) == "II*\x00" && string(data[8:10]) == "CR"
}

// boxError names an ISO base media file by its brands (ISO/IEC 14496-12: major
// brand, version, then compatible brands to the end of the box).
func boxError(data []byte) *FileError {
	size := min(int(data[0])<<24|int(data[1])<<16|int(data[2])<<8|int(data[3]), len(data), 256)
	brands := string(data[8:12])
	for i := 16; i+4 <= size; i += 4 {
		brands += " " + string(data[i:i+4])
	}
	has := func(names ...string) bool {
		for _, n := range names {
			if strings.Contains(brands, n) {
				return true
			}
		}
		return false
	}
	switch {
	case has("avif", "avis"):
		return unsupported(mendConvert, "the photo is in AVIF format, which is not read")
	case has("heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1"):
		return unsupported(mendConvert, "the photo is in HEIC (HEIF) format, which is not read")
	case has("crx "):
		return unsupported(mendRaw, "the file is a camera's raw file")
	}
	return unsupported("take a photo, not a film", "the file is a film or another media file (%q)", brands[:4])
}

// otherError names what is no photo at all, as far as it is known.
func otherError(data []byte) *FileError {
	for magic, name := range map[string]string{"GIF8": "GIF", "BM": "BMP", "8BPS": "Photoshop", "\xff\x0a": "JPEG XL", "\x00\x00\x00\x0cJXL ": "JPEG XL", "\x00\x00\x00\x0cjP": "JPEG 2000"} {
		if bytes.HasPrefix(data, []byte(magic)) {
			return unsupported(mendExport, "the picture is in %s format, which is not read", name)
		}
	}
	if bytes.HasPrefix(data, []byte("%PDF")) {
		return unsupported("give the photo itself", "the file is a PDF, not a photo")
	}
	return &FileError{Kind: FileBroken, Reason: "the file is not a photo that can be read (JPEG, PNG, TIFF, WebP)",
		Mend: "check what it is; if it should be a photo, " + mendCopy}
}

// rawByName refuses raw files by their extension: many are TIFF inside and would
// show a thumbnail.
func rawByName(path string) error {
	switch ext := strings.ToLower(filepath.Ext(path)); ext {
	case ".dng", ".cr2", ".cr3", ".nef", ".arw", ".orf", ".rw2", ".raf", ".pef", ".srw":
		return unsupported(mendRaw, "the file is a camera's raw file (%s)", ext)
	}
	return nil
}
