package orchard

import (
	"fmt"
	"strings"
	"time"
)

const marksTemplate = `# What you know of a tree and no photo shows. One mark a line; leave tree empty
# for a whole row, row and tree for a whole block. since and until are days, as
# 2026-08-01, and may be empty. These take a tree out of the ranking:
#   power_line, root_rot, root_rot_suspected, too_young, just_pruned, photos_unfit
# just_pruned ends by itself half a year after since. These are used by the plan:
#   flooded, drainage_mended, few_limbs (fewer than three main limbs), bare_inside
# An example (take the # away):
# b1,3,11,power_line,2026-08-01,,low wire over the end of the row
block,row,tree,mark,since,until,note
`

// ParseMarks reads the text of a marks.csv: columns block, row, tree, mark, since,
// until (may be left out), note, by name in any order. A row or tree left empty
// means all of them.
func ParseMarks(name string, data []byte, o *Orchard) (Marks, Problems) {
	s := readSheet(name, data, []string{"block", "row", "tree", "mark"}, []string{"since", "until", "note"})
	var marks Marks
	for _, r := range s.rows {
		if m, ok := r.mark(o); ok {
			marks = append(marks, m)
		}
	}
	return marks, s.problems
}

func (r *sheetRow) mark(o *Orchard) (Mark, bool) {
	m := Mark{Note: r.cell("note"), Line: r.line}
	var ok bool
	if m.Kind, ok = r.markKind(); !ok {
		return m, false
	}
	if m.Block, m.Row, m.Tree, ok = r.treeOrMore(o); !ok {
		return m, false
	}
	if m.Since, ok = r.day("since"); !ok {
		return m, false
	}
	if m.Until, ok = r.day("until"); !ok {
		return m, false
	}
	if m.Kind == JustPruned && m.Until == nil {
		if m.Since == nil {
			r.refuse("just_pruned has no since", "give the day of the cut, as 2026-08-14: it ends by itself")
			return m, false
		}
		end := m.Since.AddDate(0, 0, justPrunedDays)
		m.Until = &end
	}
	if m.Since != nil && m.Until != nil && m.Until.Before(*m.Since) {
		r.refuse(fmt.Sprintf("until %s is before since %s", r.cell("until"), r.cell("since")), "give the first day in since, the last in until")
		return m, false
	}
	return m, true
}

func (r *sheetRow) markKind() (MarkKind, bool) {
	word := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(r.cell("mark")))
	var all []string
	for _, k := range MarkKinds() {
		if string(k) == word {
			return k, true
		}
		all = append(all, string(k))
	}
	mend := "give one of " + strings.Join(all, ", ")
	if near := nearest(word, all); near != "" {
		mend = fmt.Sprintf("did you mean %s?", near)
	}
	r.refuse(fmt.Sprintf("mark is %q", r.cell("mark")), mend)
	return "", false
}

// treeOrMore reads a tree, or a row or block where the cells are empty: 0 then.
func (r *sheetRow) treeOrMore(o *Orchard) (block string, row, tree int, ok bool) {
	if r.cell("tree") != "" {
		t, ok := r.tree(o)
		return t.Block, t.Row, t.Tree, ok
	}
	b := o.Block(r.cell("block"))
	if b == nil {
		r.refuse(fmt.Sprintf("%s has no block %q (it has %s)", FileName, r.cell("block"), strings.Join(o.keys(), ", ")), "mend the row here or the block in "+FileName)
		return "", 0, 0, false
	}
	if r.cell("row") == "" {
		return b.Key, 0, 0, true
	}
	row, err := number(r.cell("row"), "r")
	if err != nil || b.TreePlaces(row) == 0 {
		r.refuse(fmt.Sprintf("block %s has no row %q", b.Key, r.cell("row")), "give the row's number, or leave it empty for the whole block")
		return "", 0, 0, false
	}
	return b.Key, row, 0, true
}

// day reads a day, nil where the cell is empty.
func (r *sheetRow) day(column string) (*time.Time, bool) {
	text := r.cell(column)
	if text == "" {
		return nil, true
	}
	day, err := time.Parse(dayForm, text)
	if err != nil {
		r.refuse(fmt.Sprintf("%s is %q", column, text), "give a day, as 2026-08-01 (year-month-day)")
		return nil, false
	}
	return &day, true
}
