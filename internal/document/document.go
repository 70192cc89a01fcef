// Package document begins the PDF documents that Rowlight prints: millimetres, the Go
// font, and the same bytes for the same content.
package document

import (
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// PointMM: a typographic point is 1/72 inch; fpdf sizes type in points.
const PointMM = 25.4 / 72

// Font is the family that New adds, in the styles "" and "B".
const Font = "go"

// printDate stands in every file, so that the same content gives the same bytes.
func printDate() time.Time { return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) }

// New starts a document of A4 pages in millimetres, without margins or page breaks
// of its own.
func New(title string) *fpdf.Fpdf {
	doc := fpdf.New("P", "mm", "A4", "")
	doc.SetCatalogSort(true)
	doc.SetCreationDate(printDate())
	doc.SetModificationDate(printDate())
	doc.SetTitle(title, true)
	doc.SetCreator("Rowlight", true)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.AddUTF8FontFromBytes(Font, "", goregular.TTF)
	doc.AddUTF8FontFromBytes(Font, "B", gobold.TTF)
	return doc
}
