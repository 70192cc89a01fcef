package worksheet

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"rowlight/internal/orchard"
	"rowlight/internal/plan"
)

// Picture is a tree's photo with its cuts drawn on it, as JPEG.
type Picture struct {
	JPEG []byte
	// Why is said in the picture's place where there is none.
	Why string
}

// Write prints the plan. Missing are the letters of the orchard's names that the type
// does not have; they are printed as ?.
func Write(w io.Writer, p *plan.Plan, o *orchard.Orchard, pictures map[orchard.TreeID]Picture) (missing string, err error) {
	foot := fmt.Sprintf("%s, visit %s. Local codes and licensed practice come first.", o.Name, p.Visit)
	paper, err := newPaper("Prune plan, "+o.Name, foot)
	if err != nil {
		return "", err
	}
	s := &sheet{paper, p, o, pictures}
	s.overview()
	for i := range p.Trees {
		s.tree(&p.Trees[i])
	}
	if len(p.Trees) > 0 {
		s.log()
	}
	if err := s.pdf.Output(w); err != nil {
		return "", fmt.Errorf("worksheet: write: %w", err)
	}
	return s.letters.Missing(), nil
}

type sheet struct {
	*paper
	plan     *plan.Plan
	orchard  *orchard.Orchard
	pictures map[orchard.TreeID]Picture
}

// name is a tree's name as the crew calls it.
func (s *sheet) name(id orchard.TreeID) string {
	block := id.Block
	if b := s.orchard.Block(id.Block); b != nil && b.Name != "" && b.Name != b.Key {
		block = fmt.Sprintf("%s (%s)", b.Name, b.Key)
	}
	return fmt.Sprintf("%s, row %d, tree %d", block, id.Row, id.Tree)
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }

// share is this year's share in short: "16-25 %".
func share(t *plan.Tree) string {
	low, high := percent(t.ThisYear.Low), percent(t.ThisYear.High)
	if low == high {
		return high
	}
	return strings.TrimSuffix(low, " %") + "–" + high
}

func method(t *plan.Tree) string {
	if len(t.Options) == 0 {
		return "no way left: see the plan"
	}
	return t.Options[0].Name
}

// picture draws a tree's picture into a box and returns its size.
func (s *sheet) picture(id orchard.TreeID, x, y, maxW, maxH float64) (widthMM, heightMM float64) {
	pic := s.pictures[id]
	if len(pic.JPEG) == 0 {
		return s.noPicture(pic.Why, x, y, maxW)
	}
	name := id.String()
	info := s.pdf.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(pic.JPEG))
	if s.pdf.Err() || info == nil || info.Width() <= 0 {
		s.pdf.ClearError()
		return s.noPicture("the photo cannot be printed", x, y, maxW)
	}
	w, h := maxW, maxW*info.Height()/info.Width()
	if h > maxH {
		w, h = w*maxH/h, maxH
	}
	s.pdf.ImageOptions(name, x, y, w, h, false, fpdf.ImageOptions{ImageType: "JPG"}, 0, "")
	return w, h
}

// noPicture leaves a frame to sketch the tree in.
func (s *sheet) noPicture(why string, x, y, w float64) (widthMM, heightMM float64) {
	const h = 60
	if why == "" {
		why = "no side photo"
	}
	s.pdf.SetDrawColor(160, 160, 160)
	s.pdf.SetLineWidth(0.2)
	s.pdf.Rect(x, y, w, h, "D")
	s.fit(x+3, y+6, bodyMM, w-6, "", "No picture: "+why+".")
	s.fit(x+3, y+11, smallMM, w-6, "", "Sketch the tree and its cuts here.")
	return w, h
}
