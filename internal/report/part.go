package report

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
)

// part is what of the orchard a page is about: one tree or one block.
type part struct {
	tree  *orchard.TreeID // nil for a whole block
	block string
}

func (p *part) has(id orchard.TreeID) bool {
	if p.tree != nil {
		return id == *p.tree
	}
	return id.Block == p.block
}

// of leaves the part's trees, photos and means. Places in the order stay those among all
// trees of the visit.
func (p *part) of(res *orchard.VisitResult, ranked []group, unranked []orchard.TreeResult) (*orchard.VisitResult, []group, []orchard.TreeResult) {
	foreign := func(t orchard.TreeResult) bool { return !p.has(t.ID) }
	apart := func(r orchard.Record) bool { return r.Tree == nil || !p.has(*r.Tree) }
	out := *res
	out.Trees = slices.DeleteFunc(slices.Clone(res.Trees), foreign)
	out.Photos = slices.DeleteFunc(slices.Clone(res.Photos), apart)
	out.Pairs = slices.DeleteFunc(slices.Clone(res.Pairs), apart)
	out.Sways = nil // they speak of the whole orchard's list
	if p.tree != nil {
		out.Blocks = nil
	}
	var left []group
	for _, g := range ranked {
		g.Trees = slices.DeleteFunc(slices.Clone(g.Trees), foreign)
		if len(g.Trees) > 0 {
			left = append(left, g)
		}
	}
	return &out, left, slices.DeleteFunc(slices.Clone(unranked), foreign)
}

// layout leaves the part's block.
func (p *part) layout(l Layout) Layout {
	return Layout{Blocks: slices.DeleteFunc(slices.Clone(l.Blocks), func(b Block) bool { return b.Key != p.block })}
}

// summary says where the part stands among all trees of the visit.
func (p *part) summary(res *orchard.VisitResult, ranked []group) []string {
	all, own := 0, 0
	place := ""
	for _, g := range ranked {
		all += len(g.Trees)
		for _, t := range g.Trees {
			if p.has(t.ID) {
				own++
				place = g.Label()
			}
		}
	}
	if p.tree != nil {
		if own == 0 {
			return []string{"This tree could not be put in order."}
		}
		return []string{fmt.Sprintf("Place %s of the %s in order at this visit.", place, plural(all, "tree"))}
	}
	return []string{fmt.Sprintf("%s of this block in order, of %d in the whole orchard; places are those in the whole orchard.", plural(own, "tree"), all)}
}
