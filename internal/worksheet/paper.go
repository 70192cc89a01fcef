package worksheet

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"rowlight/internal/document"
)

// An ISO 216 A4 sheet and its type, millimetres. Body type of 3.3 mm is 9.4 points,
// which a crew reads at arm's length.
const (
	pageW, pageH = 210.0, 297.0
	margin       = 12.0
	textW        = pageW - 2*margin
	bottom       = pageH - margin - 5
	bodyMM       = 3.3
	smallMM      = 2.8
	headMM       = 6.0
	leading      = 1.35 // line step over type size
)

// paper is a document being written, with a cursor that runs down the page.
type paper struct {
	pdf     *fpdf.Fpdf
	letters *letters
	y       float64
	foot    string // small, at every page's foot
	goesOn  string // small, on top of a page that what stands before runs on to
	pages   int
}

func newPaper(title, foot string) (*paper, error) {
	l, err := newLetters()
	if err != nil {
		return nil, err
	}
	return &paper{pdf: document.New(l.Printable(title)), letters: l, foot: foot}, nil
}

// newPage begins a page.
func (p *paper) newPage() {
	p.pdf.AddPage()
	p.pages++
	p.y = margin
	p.at(margin, pageH-margin/2-1, smallMM, "", p.foot)
	p.right(pageW-margin, pageH-margin/2-1, smallMM, "", pageWord(p.pages))
}

// room begins a page where less than needMM is left on this one.
func (p *paper) room(needMM float64) {
	if p.pages > 0 && p.y+needMM <= bottom {
		return
	}
	p.newPage()
	if p.goesOn != "" {
		p.y += smallMM
		p.at(margin, p.y, smallMM, "B", p.goesOn)
		p.y += smallMM
	}
}

// at writes one line with its baseline's left end at (x, y).
func (p *paper) at(x, y, sizeMM float64, style, s string) {
	p.pdf.SetFont(document.Font, style, sizeMM/document.PointMM)
	p.pdf.SetTextColor(0, 0, 0)
	p.pdf.Text(x, y, p.letters.Printable(s))
}

// right writes one line that ends at x.
func (p *paper) right(x, y, sizeMM float64, style, s string) {
	p.at(x-p.width(s, sizeMM, style), y, sizeMM, style, s)
}

func (p *paper) width(s string, sizeMM float64, style string) float64 {
	p.pdf.SetFont(document.Font, style, sizeMM/document.PointMM)
	return p.pdf.GetStringWidth(p.letters.Printable(s))
}

// fit is at with the type made smaller until the line is no wider than maxMM.
func (p *paper) fit(x, y, sizeMM, maxMM float64, style, s string) {
	if w := p.width(s, sizeMM, style); w > maxMM {
		sizeMM *= maxMM / w
	}
	p.at(x, y, sizeMM, style, s)
}

// para writes words broken to a width at the cursor, over pages where it must.
func (p *paper) para(x, widthMM, sizeMM float64, style, s string) {
	for _, line := range p.wrap(s, widthMM, sizeMM, style) {
		p.room(sizeMM * leading)
		p.y += sizeMM * leading
		p.at(x, p.y-sizeMM*(leading-1), sizeMM, style, line)
	}
}

// wrap breaks words at blanks; a word longer than the line is cut.
func (p *paper) wrap(s string, widthMM, sizeMM float64, style string) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(p.letters.glue(s)) {
		for {
			next := strings.TrimSpace(line + " " + word)
			if p.width(next, sizeMM, style) <= widthMM {
				line = next
				break
			}
			if line != "" {
				lines, line = append(lines, line), ""
				continue
			}
			head, tail := p.cut(word, widthMM, sizeMM, style)
			lines, word = append(lines, head), tail
		}
	}
	return append(lines, line)
}

// cut splits a word that no line holds, after at least one letter.
func (p *paper) cut(word string, widthMM, sizeMM float64, style string) (head, tail string) {
	r := []rune(word)
	n := 1
	for n < len(r) && p.width(string(r[:n+1]), sizeMM, style) <= widthMM {
		n++
	}
	return string(r[:n]), string(r[n:])
}

// head writes a heading with a line under it.
func (p *paper) head(x, widthMM float64, s string) {
	const keepMM = 3 * bodyMM * leading // a heading does not stand alone at a foot
	p.room(bodyMM*leading + keepMM)
	p.y += 1.2
	p.para(x, widthMM, bodyMM, "B", s)
	p.rule(x, x+widthMM, p.y+0.2)
	p.y += 0.9
}

func (p *paper) rule(x0, x1, y float64) {
	p.pdf.SetDrawColor(120, 120, 120)
	p.pdf.SetLineWidth(0.2)
	p.pdf.Line(x0, y, x1, y)
}

// boxMM is a box to tick with a pencil.
const boxMM = 3.6

func (p *paper) box(x, y float64) {
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.SetLineWidth(0.3)
	p.pdf.Rect(x, y, boxMM, boxMM, "D")
}

// tick writes words with a box before them.
func (p *paper) tick(x, widthMM, sizeMM float64, s string) {
	const gap = 1.6
	inner := widthMM - boxMM - gap
	p.room(float64(len(p.wrap(s, inner, sizeMM, ""))) * sizeMM * leading)
	p.box(x, p.y+sizeMM*leading-sizeMM*(leading-1)-boxMM+0.5)
	p.para(x+boxMM+gap, inner, sizeMM, "", s)
	p.y += 0.8
}

// item writes words behind a dash.
func (p *paper) item(x, widthMM, sizeMM float64, s string) {
	const indent = 3.0
	p.room(sizeMM * leading)
	y := p.y
	if pages := p.pages; pages > 0 {
		p.at(x, y+sizeMM*leading-sizeMM*(leading-1), sizeMM, "", "–")
	}
	p.para(x+indent, widthMM-indent, sizeMM, "", s)
}
