package vision

import (
	"fmt"
	"os"

	"gocv.io/x/gocv"
)

// Load decodes a photo file in full.
func Load(path string) (*Photo, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("vision: read photo: %w", err)
	}
	return Decode(data)
}

// Decode decodes a photo from its bytes, turned upright by its EXIF orientation.
func Decode(data []byte) (*Photo, error) {
	m, err := gocv.IMDecode(data, gocv.IMReadColor)
	if err != nil {
		return nil, fmt.Errorf("vision: decode photo: %w", err)
	}
	defer m.Close()
	if m.Empty() {
		return nil, fmt.Errorf("vision: decode photo: not a picture that can be read")
	}
	gocv.CvtColor(m, &m, gocv.ColorBGRToRGB)
	return &Photo{W: m.Cols(), H: m.Rows(), FullW: m.Cols(), FullH: m.Rows(), Pix: m.ToBytes(), Meta: Meta{Orientation: 1}}, nil
}
