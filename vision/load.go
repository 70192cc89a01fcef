package vision

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"gocv.io/x/gocv"
)

// Load decodes a photo file in full, turned upright. Errors about the file are
// *FileError.
func Load(path string) (*Photo, error) {
	if err := rawByName(path); err != nil {
		return nil, err
	}
	data, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return Decode(data)
}

// readFile reads a whole file, unless it is too large to be a photo.
func readFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, readError(err)
	case info.IsDir():
		return nil, unsupported("give the photos in it", "this is a folder, not a photo")
	case !info.Mode().IsRegular():
		return nil, unsupported("give a photo file", "this is not a plain file")
	case info.Size() > maxFileBytes:
		return nil, unsupported(mendExport, "the file is too large for a photo: %d MB, %d at most", info.Size()>>20, maxFileBytes>>20)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, readError(err)
	}
	return data, nil
}

// maxFileBytes: 100 megapixels in 16-bit RGB, not compressed, and some more.
const maxFileBytes = 700 << 20

func readError(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &FileError{FileBroken, "there is no such file", "check its name", err}
	case errors.Is(err, fs.ErrPermission):
		return &FileError{FileBroken, "the file may not be read", "give yourself permission to read it", err}
	}
	return &FileError{FileBroken, fmt.Sprintf("the file cannot be read (%v)", err), "check the disk or card it lies on", err}
}

// Decode decodes a photo from its bytes, in colour, turned upright by its EXIF
// orientation, with what the file says of how it was taken. JPEG, PNG, TIFF and
// WebP are read; the size is judged as the file declares it, before a pixel is
// decoded. A file that cannot be used gives a *FileError.
func Decode(data []byte) (*Photo, error) {
	head, err := sniff(data)
	if err != nil {
		return nil, err
	}
	meta := readMeta(data, head.format)
	if head.format == formatTIFF {
		data = tiffAsStored(data)
	}
	pix, err := decodePixels(data, head)
	if err != nil {
		return nil, &FileError{FileBroken, "the picture in the file is damaged and cannot be decoded", mendCopy, err}
	}
	if lowerPartMissing(pix, head.w) {
		return nil, broken("the lower part of the picture is missing: the file was damaged or not copied in full")
	}
	return upright(pix, head, meta)
}

// upright makes a photo of the decoded pixels, turned by its EXIF orientation.
func upright(pix []uint8, head fileHeader, meta Meta) (*Photo, error) {
	p := &Photo{W: head.w, H: head.h, FullW: head.w, FullH: head.h, Pix: pix, Meta: meta}
	if meta.Orientation < 2 || meta.Orientation > 8 {
		return p, nil
	}
	m, err := gocv.NewMatFromBytes(head.h, head.w, gocv.MatTypeCV8UC3, pix)
	if err != nil {
		return nil, fmt.Errorf("vision: turn photo: %w", err)
	}
	defer m.Close()
	turn(&m, meta.Orientation)
	p.W, p.H, p.FullW, p.FullH, p.Pix = m.Cols(), m.Rows(), m.Cols(), m.Rows(), m.ToBytes()
	return p, nil
}

// turn turns a picture by its EXIF orientation (EXIF 2.32, tag 0x0112): this is
// the one place where photos are turned.
func turn(m *gocv.Mat, orientation int) {
	const aroundX, aroundY, aroundBoth = 0, 1, -1
	switch orientation {
	case 2:
		gocv.Flip(*m, m, aroundY)
	case 3:
		gocv.Flip(*m, m, aroundBoth)
	case 4:
		gocv.Flip(*m, m, aroundX)
	case 5:
		gocv.Transpose(*m, m)
	case 6:
		gocv.Rotate(*m, m, gocv.Rotate90Clockwise)
	case 7:
		gocv.Transpose(*m, m)
		gocv.Flip(*m, m, aroundBoth)
	case 8:
		gocv.Rotate(*m, m, gocv.Rotate90CounterClockwise)
	}
}

const (
	// missingRows: a JPEG is coded in rows of 8 or 16 pixels; what is missing at
	// its end comes out in one colour.
	missingRows = 8
	// burntCode and blackCode: a photo's last rows may truly be all burnt out or
	// all black.
	burntCode, blackCode = 250, 5
)

// lowerPartMissing tells whether the last rows (as stored) are exactly one
// colour, between black and burnt out: no sensor gives that, but the decoder
// does where data is missing.
func lowerPartMissing(pix []uint8, w int) bool {
	row := 3 * w
	tail := pix[len(pix)-missingRows*row:]
	for i := 3; i < len(tail); i++ {
		if tail[i] != tail[i-3] {
			return false
		}
	}
	low, high := min(tail[0], tail[1], tail[2]), max(tail[0], tail[1], tail[2])
	return low > blackCode && high < burntCode
}
