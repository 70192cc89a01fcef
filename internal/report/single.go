package report

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// SingleMaxBytes is about how large a page with its pictures within may become: what a
// mail server lets pass (20 to 25 MB, common practice). Pictures are made smaller to keep
// to it, so that one tree's stay as they are and a large block's are stamps.
const SingleMaxBytes = 20 << 20

// Single is a page that was written with all its pictures within.
type Single struct {
	Pictures  int // how many it holds
	LongestPx int // of the pictures that were made smaller, the longer side; 0: none was
}

// WriteTree writes one tree's report as one page without any file beside it. Overlays are
// looked for in dir, the folder of the visit's results.
func WriteTree(w io.Writer, res *orchard.VisitResult, opt Options, dir string, tree orchard.TreeID) (Single, error) {
	if !slices.ContainsFunc(res.Trees, func(t orchard.TreeResult) bool { return t.ID == tree }) {
		return Single{}, fmt.Errorf("visit %s has no photo or tape of tree %s", res.Visit, tree)
	}
	return writeSingle(w, res, opt, dir, &part{tree: &tree, block: tree.Block}, SingleMaxBytes)
}

// WriteBlock is WriteTree for a block.
func WriteBlock(w io.Writer, res *orchard.VisitResult, opt Options, dir, block string) (Single, error) {
	if !slices.ContainsFunc(res.Trees, func(t orchard.TreeResult) bool { return t.ID.Block == block }) {
		return Single{}, fmt.Errorf("visit %s has no photo or tape of block %s", res.Visit, block)
	}
	return writeSingle(w, res, opt, dir, &part{block: block}, SingleMaxBytes)
}

func writeSingle(w io.Writer, res *orchard.VisitResult, opt Options, dir string, of *part, maxBytes int) (Single, error) {
	s := sound(res)
	pics := readPictures(filepath.Join(dir, filepath.FromSlash(opt.OverlayBase)), overlaysOf(s, of), maxBytes)
	opt.part, opt.Layout, opt.within = of, of.layout(opt.Layout), pics.by
	p := newPage(s, opt)
	p.Pictures = pics.said()
	return Single{len(pics.by), pics.longestPx}, writePage(w, p)
}

// overlaysOf are the pictures that a part's page will show.
func overlaysOf(res *orchard.VisitResult, of *part) []string {
	var out []string
	for _, p := range slices.Concat(res.Photos, res.Pairs) {
		if p.Tree != nil && of.has(*p.Tree) && p.Overlay != "" && p.Status == orchard.Measured {
			out = append(out, p.Overlay)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// said tells in the page what was done to its pictures.
func (p *pictures) said() string {
	words := []string{"All pictures are within this file."}
	if p.longestPx > 0 {
		words = append(words, fmt.Sprintf("They were made smaller, to %d pixels at most, to keep it small; the full ones lie in the orchard's results folder.", p.longestPx))
	}
	return strings.Join(words, " ")
}
