package compare

import (
	"fmt"
	"slices"

	"rowlight/internal/orchard"
)

// blockMap is one block drawn as it is walked: a line a row, tree 1 at the left.
type blockMap struct {
	Title         string
	Width, Height int
	Rows          []mapRow
	Heads         []mapText
}

type mapRow struct {
	Label mapText
	Cells []mapCell
}

type mapText struct {
	X, Y int
	Text string
}

type mapCell struct {
	X, Y, MidX, Big, Small int
	Class, Figure, Light   string
	Anchor, Text           string
}

// The map's measures in pixels, as on the visit's own page: a cell takes a
// fingertip.
const (
	cellW, cellH = 56, 46
	mapLeft      = 52
	mapTop       = 24
)

func maps(res *Result, o *orchard.Orchard) []blockMap {
	byID := map[orchard.TreeID]*TreeChange{}
	for i := range res.Trees {
		byID[res.Trees[i].ID] = &res.Trees[i]
	}
	var out []blockMap
	for i := range o.Blocks {
		b := &o.Blocks[i]
		if slices.ContainsFunc(res.Trees, func(t TreeChange) bool { return t.ID.Block == b.Key }) {
			out = append(out, drawBlock(b, byID, o))
		}
	}
	return out
}

func drawBlock(b *orchard.Block, trees map[orchard.TreeID]*TreeChange, o *orchard.Orchard) blockMap {
	m := blockMap{Title: b.Key}
	if b.Name != "" {
		m.Title = b.Name
	}
	widest := 0
	rows := slices.Clone(b.Rows)
	if b.NextRowLeft {
		slices.Reverse(rows) // the drawing must not be a mirror image of the ground
	}
	for j, r := range rows {
		y := mapTop + cellH*j
		row := mapRow{Label: mapText{4, y + cellH/2 + 4, fmt.Sprintf("row %d", r)}}
		for n := 1; n <= b.TreePlaces(r); n++ {
			widest = max(widest, n)
			if t := trees[orchard.TreeID{Block: b.Key, Row: r, Tree: n}]; t != nil {
				row.Cells = append(row.Cells, drawCell(t, mapLeft+cellW*(n-1), y, o))
			}
		}
		m.Rows = append(m.Rows, row)
	}
	for n := 1; n <= widest; n++ {
		m.Heads = append(m.Heads, mapText{mapLeft + cellW*(n-1) + cellW/2, 16, fmt.Sprint(n)})
	}
	m.Width, m.Height = mapLeft+cellW*widest+4, mapTop+cellH*len(rows)+4
	return m
}

func drawCell(t *TreeChange, x, y int, o *orchard.Orchard) mapCell {
	c := mapCell{X: x, Y: y, MidX: x + cellW/2 - 1, Big: y + 20, Small: y + 36, Class: class(t), Anchor: anchor(t.ID)}
	figures := map[Verdict]string{NoChange: "=", Untouched: "=", Felled: "×", Missing: "·", NoVerdict: "?", Grown: "+"}
	c.Figure = figures[t.Verdict]
	if t.Verdict == Cut {
		c.Figure = "cut"
		if t.LeafRemoved != nil {
			c.Figure = fmt.Sprintf("%.0f %%", 100*t.LeafRemoved.Value)
		}
	}
	if l := t.find(orchard.SunlitFractionRef); l != nil {
		c.Light = fmt.Sprintf("%.0f→%.0f", 100*l.Before.Value, 100*l.After.Value)
	}
	c.Text = treeName(t.ID, o) + ": " + t.Say
	return c
}
