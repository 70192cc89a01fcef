package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"rowlight/internal/orchard"
)

// blockMap is one block drawn as it is walked: a line a row, tree 1 at the
// left; row 2 below row 1 where it lies to the right of the walk, else above,
// so that the drawing is never a mirror image of the ground.
type blockMap struct {
	Title, Caption string
	Width, Height  int
	Rows           []mapRow
	Trees          []mapHead // numbers along the top
	// NorthDeg turns an arrow that points up the page to true north, clockwise.
	NorthDeg string
	HasNorth bool
}

type mapRow struct {
	Label string
	TextY int
	Cells []mapCell
}

type mapHead struct {
	Label string
	X     int
}

type mapCell struct {
	X, Y, MidX, ScoreY, RankY int
	Anchor                    string // empty where the visit has no result of the tree
	Class                     string // "p0".."p4" by priority, "none", "unranked"
	Score, Rank, Text         string
	First                     bool // of the leading group
}

// The map's measures in pixels: a cell takes a fingertip (44 px, the common
// smallest target size) and two lines of figures.
const (
	cellW, cellH   = 48, 44
	mapLeft        = 52
	mapTop         = 24
	mapEdge        = 4
	priorityShades = 5
)

func maps(res *orchard.VisitResult, ranked []group, l Layout) []blockMap {
	labels := map[orchard.TreeID]string{}
	first := map[orchard.TreeID]bool{}
	for i, g := range ranked {
		for _, t := range g.Trees {
			labels[t.ID] = g.Label()
			first[t.ID] = i == 0 && len(ranked) > 1
		}
	}
	var out []blockMap
	for _, key := range blockKeys(res.Trees, l) {
		m := mapper{block: l.block(key), labels: labels, first: first, trees: map[orchard.TreeID]*orchard.TreeResult{}}
		for i := range res.Trees {
			if t := &res.Trees[i]; t.ID.Block == key {
				m.trees[t.ID] = t
			}
		}
		out = append(out, m.draw())
	}
	return out
}

// mapper draws one block.
type mapper struct {
	block  Block
	trees  map[orchard.TreeID]*orchard.TreeResult
	labels map[orchard.TreeID]string
	first  map[orchard.TreeID]bool
}

// numbers are the row and tree numbers to draw: those of the layout, and any
// beyond it that have a result.
func (m mapper) numbers() (rows, trees []int) {
	for i, r := range m.block.Rows {
		rows = append(rows, r)
		for t := 1; i < len(m.block.RowTrees) && t <= m.block.RowTrees[i]; t++ {
			trees = append(trees, t)
		}
	}
	for id := range m.trees {
		rows, trees = append(rows, id.Row), append(trees, id.Tree)
	}
	slices.Sort(rows)
	slices.Sort(trees)
	return slices.Compact(rows), slices.Compact(trees)
}

func (m mapper) draw() blockMap {
	rows, trees := m.numbers()
	if m.block.NextRowLeft {
		slices.Reverse(rows)
	}
	out := blockMap{Title: m.block.title(), Caption: m.caption(rows),
		Width: mapLeft + cellW*len(trees) + mapEdge, Height: mapTop + cellH*len(rows) + mapEdge}
	if b := m.block.RowBearingDeg; b != nil && finite(*b) {
		out.HasNorth = true
		out.NorthDeg = fixed(northOnMap(*b), 0)
	}
	for j, t := range trees {
		out.Trees = append(out.Trees, mapHead{strconv.Itoa(t), mapLeft + cellW*j + cellW/2})
	}
	for i, r := range rows {
		y := mapTop + cellH*i
		row := mapRow{Label: "row " + strconv.Itoa(r), TextY: y + cellH/2 + 4}
		for j, t := range trees {
			id := orchard.TreeID{Block: m.block.Key, Row: r, Tree: t}
			if m.trees[id] == nil && !m.block.stands(id) {
				continue // no tree there: the ground stays blank
			}
			c := m.cell(id, mapLeft+cellW*j, y)
			row.Cells = append(row.Cells, c)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// northOnMap returns how far north is turned clockwise from the page's up,
// 0..360: rows run to the right on the page, so a bearing of 90 has north up.
func northOnMap(rowBearingDeg float64) float64 {
	return math.Mod(math.Mod(90-rowBearingDeg, 360)+360, 360)
}

func (m mapper) cell(id orchard.TreeID, x, y int) mapCell {
	c := mapCell{X: x, Y: y, MidX: x + cellW/2, ScoreY: y + 19, RankY: y + 35, Class: "none",
		Text: inBlock(id) + ": no photo at this visit"}
	t := m.trees[id]
	if t == nil {
		return c
	}
	c.Anchor = anchor(id)
	if t.Priority == nil {
		c.Class, c.Score, c.Text = "unranked", "?", inBlock(id)+": not in the order: "+unrankedWhy(t)
		return c
	}
	c.Class, c.Score, c.Rank, c.First = shade(t.Priority.Score), points(t.Priority.Score), m.labels[id], m.first[id]
	c.Text = fmt.Sprintf("%s: priority %s, place %s", inBlock(id), c.Score, m.labels[id])
	return c
}

// shade is the class of a priority's fifth, "p0" to "p4".
func shade(score float64) string {
	i := int(score / (100 / priorityShades))
	return "p" + strconv.Itoa(min(max(i, 0), priorityShades-1))
}

func (m mapper) caption(rows []int) string {
	s := "Tree 1 at the left"
	if len(rows) > 1 {
		s += ", row " + strconv.Itoa(rows[0]) + " at the top"
	}
	if b := m.block.RowBearingDeg; b != nil && finite(*b) {
		s += "; rows run towards " + fixed(math.Mod(math.Mod(*b, 360)+360, 360), 0) + "° (" + orchard.Compass(*b) + ")"
	}
	if m.block.RowSpacingM > 0 && m.block.TreeSpacingM > 0 {
		s += "; rows " + trimmed(m.block.RowSpacingM, 2) + space + "m apart, trees " + trimmed(m.block.TreeSpacingM, 2) + space + "m"
	}
	return s + "."
}
