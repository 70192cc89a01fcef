// Package boards prints, as PDF at exact scale, what stands in the photos: the
// survey boards, whole on A3 or tiled on A4, and the tree cards.
package boards

import (
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"

	"rowlight/internal/document"
)

// ISO 216 sheets, millimetres.
const (
	a3LongMM, a3ShortMM = 420.0, 297.0
	a4LongMM, a4ShortMM = 297.0, 210.0
	// rulerMM is the bar by which a print is checked.
	rulerMM = 100.0
)

func addPage(pdf *fpdf.Fpdf, widthMM, heightMM float64) {
	// fpdf turns a landscape page's size round by itself; portrait with the
	// true width and height leaves it alone.
	pdf.AddPageFormat("P", fpdf.SizeType{Wd: widthMM, Ht: heightMM})
}

func finish(pdf *fpdf.Fpdf, w io.Writer, what string) error {
	if err := pdf.Output(w); err != nil {
		return fmt.Errorf("boards: write %s: %w", what, err)
	}
	return nil
}

// text writes one line with its baseline's left end at (x, y).
func text(pdf *fpdf.Fpdf, x, y, sizeMM float64, style, s string) {
	pdf.SetFont(document.Font, style, sizeMM/document.PointMM)
	pdf.SetTextColor(0, 0, 0)
	pdf.Text(x, y, s)
}

// fitText is text made smaller until it is no wider than maxMM.
func fitText(pdf *fpdf.Fpdf, x, y, sizeMM, maxMM float64, style, s string) {
	pdf.SetFont(document.Font, style, sizeMM/document.PointMM)
	if w := pdf.GetStringWidth(s); w > maxMM {
		sizeMM *= maxMM / w
	}
	text(pdf, x, y, sizeMM, style, s)
}

func black(pdf *fpdf.Fpdf, x, y, w, h float64) {
	pdf.SetFillColor(0, 0, 0)
	pdf.Rect(x, y, w, h, "F")
}

// ruler draws the bar of exactly 100 mm: left and right ends of the black.
func ruler(pdf *fpdf.Fpdf, x, y float64) {
	const thick, tick, tenth = 2.0, 0.4, 10.0
	black(pdf, x, y, rulerMM, thick)
	for at := tenth; at < rulerMM-0.5; at += tenth {
		pdf.SetFillColor(255, 255, 255)
		pdf.Rect(x+at-tick/2, y+thick/2, tick, thick/2, "F")
	}
	text(pdf, x, y+thick+4, 3, "", "This bar is 100 mm. Print at 100 %, no fit to page, and measure it.")
}
