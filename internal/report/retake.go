package report

import (
	"cmp"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// retake is one thing to do better, with the photos it would have saved.
type retake struct {
	Mend   string
	Photos []photoLine
}

// photoLine is a photo that gave nothing.
type photoLine struct {
	File, Path   string
	Tree, Anchor string // empty where no tree is known
	Kind         orchard.Kind
	Reason, Mend string // under a heading only what the heading does not say
	Status       orchard.Status
}

// shotLine is a shot of which no photo was taken at all.
type shotLine struct {
	Tree, Anchor, Missing string
}

// noPhoto counts a block's trees that the visit passed by.
type noPhoto struct {
	Block        string
	Trees, Total int
}

// noMend heads photos that came without a word of what to change.
const noMend = "Take the photo again"

// fillScoutList sorts what has to be walked to again: refused photos by their
// mend, files that could not be read, photos without a tree, shots not taken.
func (p *page) fillScoutList(res *orchard.VisitResult, l Layout) {
	mends := map[string][]photoLine{}
	for i := range res.Photos {
		r := &res.Photos[i]
		line := newPhotoLine(r, l)
		switch r.Status {
		case orchard.Refused:
			head := mendHead(r.Mend)
			mends[head] = append(mends[head], line)
		case orchard.Failed:
			p.Broken = append(p.Broken, line)
		case orchard.Unplaced:
			p.Unplaced = append(p.Unplaced, line)
		}
	}
	p.Retakes = retakes(mends)
	p.StillToTake = stillToTake(res, l)
	p.NoPhotos = noPhotos(res, l)
}

func newPhotoLine(r *orchard.Record, l Layout) photoLine {
	line := photoLine{File: base(r.Path), Path: r.Path, Kind: r.Kind, Reason: r.Reason, Mend: r.Mend, Status: r.Status}
	if r.Tree != nil {
		line.Tree, line.Anchor = treeName(*r.Tree, l), anchor(*r.Tree)
	}
	return line
}

// mendHead is a mend up to its first colon: what it has in common with
// others ("come back when the sun is higher: after 09:40").
func mendHead(mend string) string {
	head, _, _ := strings.Cut(mend, ":")
	if head = strings.TrimSpace(head); head == "" {
		return noMend
	}
	return head
}

// retakes orders the mends by the number of photos each would have saved.
func retakes(mends map[string][]photoLine) []retake {
	var out []retake
	for head, photos := range mends {
		for i := range photos {
			_, rest, _ := strings.Cut(photos[i].Mend, ":")
			photos[i].Mend = strings.TrimSpace(rest)
		}
		out = append(out, retake{head, photos})
	}
	slices.SortFunc(out, func(a, b retake) int {
		return cmp.Or(cmp.Compare(len(b.Photos), len(a.Photos)), cmp.Compare(a.Mend, b.Mend))
	})
	return out
}

// stillToTake are the missing shots that no photo was taken of: those with a
// refused photo stand under their mend already.
func stillToTake(res *orchard.VisitResult, l Layout) []shotLine {
	type shot struct {
		id   orchard.TreeID
		kind orchard.Kind
	}
	tried := map[shot]bool{}
	for _, r := range res.Photos {
		if r.Tree != nil {
			tried[shot{*r.Tree, r.Kind}] = true
		}
	}
	trees := slices.Clone(res.Trees)
	slices.SortFunc(trees, func(a, b orchard.TreeResult) int { return walk(a.ID, b.ID) })
	var out []shotLine
	for _, t := range trees {
		var kinds []string
		for _, k := range t.Missing {
			if !tried[shot{t.ID, k}] {
				kinds = append(kinds, string(k))
			}
		}
		if len(kinds) > 0 {
			out = append(out, shotLine{treeName(t.ID, l), anchor(t.ID), strings.Join(kinds, ", ")})
		}
	}
	return out
}

// noPhotos counts, block by block, the trees that have no result at all.
func noPhotos(res *orchard.VisitResult, l Layout) []noPhoto {
	var out []noPhoto
	for _, b := range l.Blocks {
		seen := 0
		for _, t := range res.Trees {
			if t.ID.Block == b.Key && b.stands(t.ID) {
				seen++
			}
		}
		if total := b.trees(); seen < total {
			out = append(out, noPhoto{b.title(), total - seen, total})
		}
	}
	return out
}

// turned are a tree's own photos that gave nothing.
func (v viewer) turned(t *orchard.TreeResult) []photoLine {
	var out []photoLine
	for _, path := range v.paths(t) {
		if p := v.photos[path]; p != nil && (p.Status == orchard.Refused || p.Status == orchard.Failed) {
			out = append(out, newPhotoLine(p, v.opt.Layout))
		}
	}
	return out
}
