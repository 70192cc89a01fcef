package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// pick takes trees by priority while the limits hold, and puts them in the order of
// work.
func (b *builder) pick(p *Plan, due []Tree) error {
	if p.MaxHours != nil {
		if err := b.hoursKnown(due); err != nil {
			return err
		}
	}
	p.Trees, p.Left = []Tree{}, []Tree{}
	hours := 0.0
	for _, t := range due {
		full := p.MaxTrees != nil && len(p.Trees) >= *p.MaxTrees
		// A tree that is too long for what is left makes room for the next.
		if p.MaxHours != nil && hours+*t.Hours > *p.MaxHours+hourSlack {
			full = true
		}
		if full {
			p.Left = append(p.Left, t)
			continue
		}
		p.Trees = append(p.Trees, t)
		if t.Hours != nil {
			hours += *t.Hours
		}
	}
	if len(p.Trees) == 0 && len(due) > 0 {
		return fmt.Errorf("--hours %g is less than any tree takes (%s %g hours): give more hours", *p.MaxHours, due[0].Options[0].Key, *due[0].Hours)
	}
	b.walk(p.Trees)
	p.Hours = sumHours(p.Trees)
	return nil
}

// hourSlack takes up the rounding of a sum.
const hourSlack = 1e-9

// hoursKnown asks for the hours of every way that a due tree takes.
func (b *builder) hoursKnown(due []Tree) error {
	var lacks []string
	for _, t := range due {
		if t.Hours != nil {
			continue
		}
		if key := t.Options[0].Key; !slices.Contains(lacks, key) {
			lacks = append(lacks, key)
		}
	}
	if len(lacks) == 0 {
		return nil
	}
	return fmt.Errorf("--hours needs your own hours a tree for %s: give them in %s under [plan.hours_per_tree], as %s = 1.5; or use --trees",
		strings.Join(lacks, ", "), orchard.FileName, lacks[0])
}

func sumHours(trees []Tree) *float64 {
	sum := 0.0
	for _, t := range trees {
		if t.Hours == nil {
			return nil
		}
		sum += *t.Hours
	}
	if sum = math.Round(100*sum) / 100; len(trees) == 0 {
		return nil
	}
	return &sum
}

// walk puts trees in the order of work: healthy blocks first, the block with the most
// urgent tree first; row by row, up one and down the next.
func (b *builder) walk(trees []Tree) {
	best := map[string]int{}
	for _, t := range trees {
		if r, ok := best[t.ID.Block]; !ok || t.Rank < r {
			best[t.ID.Block] = t.Rank
		}
	}
	sick := func(t Tree) int {
		if b.sick[t.ID.Block] {
			return 1
		}
		return 0
	}
	turn := b.turns(trees)
	slices.SortStableFunc(trees, func(a, c Tree) int {
		return cmp.Or(
			cmp.Compare(sick(a), sick(c)),
			cmp.Compare(best[a.ID.Block], best[c.ID.Block]),
			cmp.Compare(a.ID.Block, c.ID.Block),
			cmp.Compare(b.rowPlace(a.ID), b.rowPlace(c.ID)),
			turn[rowKey{a.ID.Block, a.ID.Row}]*cmp.Compare(a.ID.Tree, c.ID.Tree),
		)
	})
	for i := range trees {
		trees[i].Order = i + 1
	}
}

type rowKey struct {
	block string
	row   int
}

// turns says of each row with work whether it is walked up (1) or down (-1): by turns
// within its block.
func (b *builder) turns(trees []Tree) map[rowKey]int {
	turn := map[rowKey]int{}
	for i := range b.in.Orchard.Blocks {
		block := &b.in.Orchard.Blocks[i]
		way := 1
		for _, row := range block.Rows {
			if slices.ContainsFunc(trees, func(t Tree) bool { return t.ID.Block == block.Key && t.ID.Row == row }) {
				turn[rowKey{block.Key, row}] = way
				way = -way
			}
		}
	}
	return turn
}

// rowPlace is a row's place in its block's walking order.
func (b *builder) rowPlace(id orchard.TreeID) int {
	block := b.in.Orchard.Block(id.Block)
	if block == nil {
		return id.Row
	}
	return slices.Index(block.Rows, id.Row)
}
