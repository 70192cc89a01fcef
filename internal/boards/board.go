package boards

import (
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"

	"rowlight/calibrate"
	"rowlight/internal/document"
)

// Pattern is which of a marker's 7x7 modules are black, row by row.
type Pattern [7][7]bool

// Patterns returns the pattern of a marker id.
type Patterns func(id int) (Pattern, error)

// greyLevel is the grey square's sRGB code: 18 % reflectance beside paper white.
const greyLevel = 118

// WriteBoards writes the given boards (numbers 0..24): each whole on an A3 sheet
// and then on four A4 sheets to be joined.
func WriteBoards(w io.Writer, numbers []int, patterns Patterns) error {
	pdf := document.New("Survey boards")
	for _, n := range numbers {
		if n < 0 || n >= calibrate.BoardCount {
			return fmt.Errorf("boards: board %d: there are boards 0 to %d", n, calibrate.BoardCount-1)
		}
		b, err := newBoard(n, patterns)
		if err != nil {
			return err
		}
		addPage(pdf, a3LongMM, a3ShortMM)
		b.draw(pdf, 0, 0)
		for tile := range 4 {
			b.drawTile(pdf, tile)
		}
	}
	return finish(pdf, w, "boards")
}

type board struct {
	number  int
	markers [calibrate.MarkersPerBoard]Pattern
}

func newBoard(n int, patterns Patterns) (board, error) {
	b := board{number: n}
	for slot := range b.markers {
		p, err := patterns(calibrate.MarkersPerBoard*n + slot)
		if err != nil {
			return b, fmt.Errorf("boards: board %d: %w", n, err)
		}
		b.markers[slot] = p
	}
	return b, nil
}

// draw puts the sheet's top-left corner at (x, y).
func (b board) draw(pdf *fpdf.Fpdf, x, y float64) {
	for slot, m := range b.markers {
		mx, my := calibrate.MarkerTopLeftMM(slot)
		drawMarker(pdf, m, x+mx, y+my)
	}
	gx, gy, gw, gh := calibrate.GreyPatchMM()
	pdf.SetFillColor(greyLevel, greyLevel, greyLevel)
	pdf.Rect(x+gx, y+gy, gw, gh, "F")
	tx, ty, tw, _ := calibrate.TextAreaMM()
	fitText(pdf, x+tx, y+ty+16, 14, tw, "B", fmt.Sprintf("Board %d", b.number))
	fitText(pdf, x+tx, y+ty+27, 5, tw, "", "Floor: flat on the ground. Side: upright at the trunk, facing you.")
	fitText(pdf, x+tx, y+ty+35, 5, tw, "", "Alley: upright on the centre line, facing you.")
	fitText(pdf, x+tx, y+ty+43, 5, tw, "", "Upright: bottom edge level, 30 cm above the ground.")
	fitText(pdf, x+tx, y+ty+51, 5, tw, "", "Matt paper, on a stiff flat sheet. Keep all four squares in view.")
	ruler(pdf, x+tx, y+ty+64)
}

// drawMarker draws the border and the dark modules as runs, so that no hairline
// shows between neighbours.
func drawMarker(pdf *fpdf.Fpdf, m Pattern, x, y float64) {
	const module = calibrate.MarkerSideMM / 7
	black(pdf, x, y, calibrate.MarkerSideMM, calibrate.MarkerSideMM)
	pdf.SetFillColor(255, 255, 255)
	for r := range m {
		for c := 0; c < len(m[r]); c++ {
			if m[r][c] {
				continue
			}
			run := 1
			for c+run < len(m[r]) && !m[r][c+run] {
				run++
			}
			pdf.Rect(x+float64(c)*module, y+float64(r)*module, float64(run)*module, module, "F")
			c += run
		}
	}
}
