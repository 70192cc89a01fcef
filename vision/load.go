package vision

import (
	"errors"
	"fmt"
	"image"
	"io/fs"
	"os"
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

// Decoder decodes photos one after another in the same memory: 36 MB of a photo of 12
// megapixels that are fetched from the system and cleared for one of them, not for each.
// The zero Decoder is ready.
type Decoder struct {
	pix []uint8
}

// Decode is the function of that name; its photo is good until the next call.
func (d *Decoder) Decode(data []byte) (*Photo, error) {
	head, err := sniff(data)
	if err != nil {
		return nil, err
	}
	meta := readMeta(data, head.format)
	if head.format == formatTIFF {
		data = tiffAsStored(data)
	}
	turned := upright(meta.Orientation)
	p := &Photo{W: head.w, H: head.h, Pix: d.room(3 * head.w * head.h), Meta: meta}
	if turned >= firstAside {
		p.W, p.H = head.h, head.w
	}
	p.FullW, p.FullH = p.W, p.H
	if err := decodePixels(data, head, turned, p.Pix); err != nil {
		return nil, &FileError{FileBroken, "the picture in the file is damaged and cannot be decoded", mendCopy, err}
	}
	if lowerPartMissing(p, turned) {
		return nil, broken("the lower part of the picture is missing: the file was damaged or not copied in full")
	}
	return p, nil
}

// room returns n bytes of any content. Memory of a photo over twice as large is given
// back.
func (d *Decoder) room(n int) []uint8 {
	if cap(d.pix) < n || cap(d.pix) > 2*n {
		d.pix = make([]uint8, n)
	}
	return d.pix[:n]
}

// Decode decodes a photo from its bytes, in colour, turned upright by its EXIF
// orientation, with what the file says of how it was taken. JPEG, PNG, TIFF and
// WebP are read; the size is judged as the file declares it, before a pixel is
// decoded. A file that cannot be used gives a *FileError.
func Decode(data []byte) (*Photo, error) { return new(Decoder).Decode(data) }

// firstAside is the first of the EXIF orientations (EXIF 2.32, tag 0x0112) that turn
// rows to columns: 5 to 8.
const firstAside = 5

// upright is how a photo is turned by what its EXIF says; what is no orientation does
// not turn it.
func upright(orientation int) int {
	if orientation < 2 || orientation > 8 {
		return 1
	}
	return orientation
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
func lowerPartMissing(p *Photo, orientation int) bool {
	last := lastStored(p, orientation)
	first := p.Pix[3*(last.Min.Y*p.W+last.Min.X):][:3]
	for y := last.Min.Y; y < last.Max.Y; y++ {
		row := p.Pix[3*(y*p.W+last.Min.X) : 3*(y*p.W+last.Max.X)]
		for i, v := range row {
			if v != first[i%3] {
				return false
			}
		}
	}
	low, high := min(first[0], first[1], first[2]), max(first[0], first[1], first[2])
	return low > blackCode && high < burntCode
}

// lastStored is where the last rows as stored lie in the photo turned upright.
func lastStored(p *Photo, orientation int) image.Rectangle {
	switch orientation {
	case 3, 4:
		return image.Rect(0, 0, p.W, missingRows)
	case 5, 8:
		return image.Rect(p.W-missingRows, 0, p.W, p.H)
	case 6, 7:
		return image.Rect(0, 0, missingRows, p.H)
	}
	return image.Rect(0, p.H-missingRows, p.W, p.H)
}
