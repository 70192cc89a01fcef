package vision

// #include "strips.h"
import "C"

import (
	"fmt"
	"unsafe"

	"rowlight/calibrate"
)

// colourSums is how many numbers stand for a place of a row of RowSums; the last is 0.
const colourSums = 4

// RowSums holds a photo's light and colour, summed along each row, so that the mean of any
// stretch of a row costs two looks.
type RowSums struct {
	// Top is the first row held; H rows there are in all, of W pixels.
	W, H, Top int
	sum       []float32
	per       []float64 // the inverse of each whole number up to W
}

// NewRowSums sums ln luminance, ln(R/G) and ln(B/G), dark added to each light, along the rows
// from top on.
func NewRowSums(l *Linear, dark float32, top int) *RowSums {
	s := &RowSums{W: l.W, H: l.H, Top: top, sum: make([]float32, colourSums*(l.W+1)*(l.H-top)), per: make([]float64, l.W+1)}
	for n := range s.per {
		s.per[n] = 1 / float64(n)
	}
	if at := top * l.W; at < l.W*l.H {
		scratch := make([]float32, 4*l.W)
		C.rl_row_sums(floatsOf(l.R[at:]), floatsOf(l.G[at:]), floatsOf(l.B[at:]), C.int(l.W), C.int(l.H-top), C.float(dark), floatsOf(s.sum), floatsOf(scratch))
	}
	return s
}

// MeanLight is the mean ln luminance of the stretch lo..hi of row y, ends included. The row
// is held, and the stretch lies in it.
func (s *RowSums) MeanLight(y, lo, hi int) float64 {
	row := s.sum[colourSums*(s.W+1)*(y-s.Top):]
	return float64(row[colourSums*(hi+1)]-row[colourSums*lo]) * s.per[hi-lo+1]
}

// Strip is a place where an upright strip may stand: the ends of its middle line, and the
// widths it may have.
type Strip struct {
	Foot, Top calibrate.Pixel
	Widths    [stripWidths]float64
}

const stripWidths = 4

// StripForm says how a strip is told from what lies round it. Half is its own half width,
// Beside and BesideHalf the place and the half width of what lies to either side of it, as
// shares of its width; Rows rows of it are looked at. Differences under LightSD and
// ColourSD (ln) say nothing.
type StripForm struct {
	Rows                     int
	Half, Beside, BesideHalf float64
	LightSD, ColourSD        float64
}

// Scores is how plainly each strip, at each of its widths, differs all the way up from what
// lies to its left and to its right, and from what lies before its foot: over the three
// colours, the root of the sum of squares of the weakest of the three differences, in
// standard errors of the mean of the strip's rows (half of the rows count, for rows next
// to each other share grain). It is -1 where the strip does not lie in the rows held. One that
// is no more than tooFaint may come out as 0 in place of either. Strips are in units of which
// perPx make a pixel, their ends on pixels' centres. A form has 16 rows at most.
func (s *RowSums) Scores(strips []Strip, perPx float64, f StripForm, tooFaint float64) [][stripWidths]float64 {
	if f.Rows > C.rl_strip_rows {
		panic(fmt.Sprintf("vision: strips of %d rows", f.Rows))
	}
	out := make([][stripWidths]float64, len(strips))
	if len(s.sum) == 0 {
		for i := range out {
			out[i] = [stripWidths]float64{-1, -1, -1, -1}
		}
	} else if len(strips) > 0 {
		form := C.rl_strip_form{rows: C.int(f.Rows), half: C.double(f.Half), beside: C.double(f.Beside), besideHalf: C.double(f.BesideHalf),
			lightSD: C.double(f.LightSD), colourSD: C.double(f.ColourSD)}
		C.rl_strip_scores(floatsOf(s.sum), C.int(s.W), C.int(s.Top), C.int(s.H), doublesOf(s.per), (*C.double)(unsafe.Pointer(&strips[0])), C.int(len(strips)),
			C.double(perPx), &form, C.double(tooFaint), (*C.double)(unsafe.Pointer(&out[0])))
	}
	return out
}
