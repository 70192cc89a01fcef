package boards

import (
	"fmt"

	"codeberg.org/go-pdf/fpdf"
)

const (
	// overlapMM of the neighbour is printed past each inner edge, to glue on.
	overlapMM = 8.0
	// The quarter of an A3 sheet that one A4 sheet carries, and where it lies on
	// it: far enough from the edge for any printer's margins.
	quarterWMM, quarterHMM = a3LongMM / 2, a3ShortMM / 2
	tileXMM, tileYMM       = (a4LongMM - quarterWMM) / 2, 24.0
	cropMM                 = 6.0
)

// drawTile prints one quarter of the board (0 top left, 1 top right, 2 bottom
// right, 3 bottom left) on a landscape A4 sheet.
func (b board) drawTile(pdf *fpdf.Fpdf, tile int) {
	addPage(pdf, a4LongMM, a4ShortMM)
	col, row := [4]int{0, 1, 1, 0}[tile], [4]int{0, 0, 1, 1}[tile]
	x, y := tileXMM, tileYMM
	left, right := x-overlapMM*float64(col), x+quarterWMM+overlapMM*float64(1-col)
	top, bottom := y-overlapMM*float64(row), y+quarterHMM+overlapMM*float64(1-row)
	pdf.ClipRect(left, top, right-left, bottom-top, false)
	b.draw(pdf, x-quarterWMM*float64(col), y-quarterHMM*float64(row))
	pdf.ClipEnd()
	cropMarks(pdf, x, y)
	text(pdf, tileXMM+6, 8, 4, "B", fmt.Sprintf("Board %d, sheet %d of 4", b.number, tile+1))
	text(pdf, tileXMM+6, 13, 3, "", "Cut along the marks; lay the sheets edge to edge over the 8 mm that overlap; glue flat on a stiff board.")
	ruler(pdf, 15, a4ShortMM-16)
}

// cropMarks stand outside the quarter's four corners.
func cropMarks(pdf *fpdf.Fpdf, x, y float64) {
	const gap, thick = overlapMM + 1, 0.2
	for _, cx := range [2]float64{x, x + quarterWMM} {
		black(pdf, cx-thick/2, y-gap-cropMM, thick, cropMM)
		black(pdf, cx-thick/2, y+quarterHMM+gap, thick, cropMM)
	}
	for _, cy := range [2]float64{y, y + quarterHMM} {
		black(pdf, x-gap-cropMM, cy-thick/2, cropMM, thick)
		black(pdf, x+quarterWMM+gap, cy-thick/2, cropMM, thick)
	}
}
