package boards

import (
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"

	"rowlight/internal/document"
)

// Card is one tree's card.
type Card struct {
	Payload string // what the QR code says
	Title   string // "North block, row 3, tree 11"
	Note    string // the orchard's name
}

// Eight cards to an A4 sheet, cut along the lines.
const (
	cardCols, cardRows = 2, 4
	cardWMM, cardHMM   = a4ShortMM / cardCols, a4LongMM / cardRows
	// qrMM with its quiet zone of four modules: 2 mm modules read from 2 m with
	// a phone.
	qrMM       = 62.0
	quietZone  = 4
	cardPadMM  = 6.0
	cardTextMM = cardWMM - qrMM - cardPadMM - 2
)

// WriteCards writes the cards in the order given; missing are the letters of their
// names that the type lacks, written as ?.
func WriteCards(w io.Writer, cards []Card) (missing string, err error) {
	pdf := document.New("Tree cards")
	if len(cards) == 0 {
		return "", fmt.Errorf("boards: no tree to make a card for: the orchard file names no trees")
	}
	letters, err := document.NewLetters()
	if err != nil {
		return "", err
	}
	for i, c := range cards {
		at := i % (cardCols * cardRows)
		if at == 0 {
			addPage(pdf, a4ShortMM, a4LongMM)
		}
		x, y := float64(at%cardCols)*cardWMM, float64(at/cardCols)*cardHMM
		c.Title, c.Note = letters.Printable(c.Title), letters.Printable(c.Note)
		if err := drawCard(pdf, c, x, y); err != nil {
			return "", err
		}
	}
	return letters.Missing(), finish(pdf, w, "tree cards")
}

func drawCard(pdf *fpdf.Fpdf, c Card, x, y float64) error {
	code, err := encodeQR(c.Payload)
	if err != nil {
		return fmt.Errorf("boards: card %q: %w", c.Title, err)
	}
	drawQR(pdf, code, x+2, y+(cardHMM-qrMM)/2)
	tx := x + 2 + qrMM
	for i, line := range splitTitle(c.Title) {
		fitText(pdf, tx, y+24+9*float64(i), 6, cardTextMM, "B", line)
	}
	fitText(pdf, tx, y+cardHMM-14, 3.2, cardTextMM, "", c.Note)
	fitText(pdf, tx, y+cardHMM-9, 3.2, cardTextMM, "", "Photograph this first, then the tree.")
	pdf.SetDrawColor(160, 160, 160)
	pdf.SetLineWidth(0.1)
	pdf.Rect(x, y, cardWMM, cardHMM, "D")
	return nil
}

// encodeQR makes a QR code (ISO/IEC 18004) with error correction M (15 %): a
// card gets dirty.
func encodeQR(payload string) (*gozxing.BitMatrix, error) {
	return qrcode.NewQRCodeWriter().Encode(payload, gozxing.BarcodeFormat_QR_CODE, 0, 0, map[gozxing.EncodeHintType]interface{}{
		gozxing.EncodeHintType_ERROR_CORRECTION: decoder.ErrorCorrectionLevel_M,
		gozxing.EncodeHintType_MARGIN:           quietZone,
	})
}

func drawQR(pdf *fpdf.Fpdf, m *gozxing.BitMatrix, x, y float64) {
	module := qrMM / float64(m.GetWidth())
	for r := range m.GetHeight() {
		for c := 0; c < m.GetWidth(); c++ {
			run := 0
			for c+run < m.GetWidth() && m.Get(c+run, r) {
				run++
			}
			if run > 0 {
				black(pdf, x+float64(c)*module, y+float64(r)*module, float64(run)*module, module)
				c += run
			}
		}
	}
}

// splitTitle puts each part of "block, row, tree" on a line of its own.
func splitTitle(s string) []string {
	var out []string
	for start, i := 0, 0; i <= len(s); i++ {
		if i == len(s) || (s[i] == ',' && len(out) < 3) {
			part := s[start:i]
			for len(part) > 0 && part[0] == ' ' {
				part = part[1:]
			}
			out = append(out, part)
			start = i + 1
		}
	}
	return out
}
