// Package vision turns photos into pixels and points: loading, markers, cards,
// sharpness. It knows pixels and no metres.
//
// Sub-packages measure one kind of shot each: floorlight (sun and shade on the
// floor), sideview (a tree's outline and what fills it), alleyview (the walls
// and the floor of an alley).
package vision

// Photo is a decoded photo, turned upright, 8-bit sRGB, row by row, R G B.
// Pixel (x, y) is Pix[3*(y*W+x):]; pixel centres lie on whole numbers.
type Photo struct {
	W, H int
	Pix  []uint8
	Meta Meta
	// FullW and FullH are the oriented size of the file; W and H are smaller
	// where the loader was asked to reduce.
	FullW, FullH int
}

// Scale is the size of this photo's pixels against the file's: W/FullW.
func (p *Photo) Scale() float64 { return float64(p.W) / float64(p.FullW) }

// Raster is one number a pixel, row by row.
type Raster struct {
	W, H int
	V    []float32
}

// NewRaster returns a raster of zeros.
func NewRaster(w, h int) *Raster { return &Raster{w, h, make([]float32, w*h)} }

// Mask is a set of pixels, row by row.
type Mask struct {
	W, H int
	In   []bool
}

// NewMask returns an empty mask.
func NewMask(w, h int) *Mask { return &Mask{w, h, make([]bool, w*h)} }

// At tells whether (x, y) is in the mask; outside the raster nothing is.
func (m *Mask) At(x, y int) bool {
	return x >= 0 && y >= 0 && x < m.W && y < m.H && m.In[y*m.W+x]
}

// Count returns how many pixels are in the mask.
func (m *Mask) Count() int {
	n := 0
	for _, in := range m.In {
		if in {
			n++
		}
	}
	return n
}
