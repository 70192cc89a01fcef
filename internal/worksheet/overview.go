package worksheet

import (
	"fmt"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/plan"
)

// overview is the first page or pages: the order of work and what is not in it.
func (s *sheet) overview() {
	s.newPage()
	s.y += headMM
	s.fit(margin, s.y, headMM, textW, "B", "Prune plan: "+s.orchard.Name)
	s.y += 2.5
	s.para(margin, textW, bodyMM, "", s.counts())
	for _, n := range s.plan.Notes {
		s.para(margin, textW, bodyMM, "", n)
	}
	if len(s.plan.Trees) > 0 {
		s.head(margin, textW, "In this order")
		s.table()
	}
	s.lists()
	s.when()
	s.head(margin, textW, "Cautions")
	for _, c := range s.plan.Cautions {
		s.item(margin, textW, bodyMM, c)
	}
}

// counts says what the plan holds, in a sentence or two.
func (s *sheet) counts() string {
	p := s.plan
	said := fmt.Sprintf("Visit %s. %s to do", p.Visit, trees(len(p.Trees)))
	if p.Hours != nil {
		said += fmt.Sprintf(", %.1f hours", *p.Hours)
	}
	if p.MaxHours != nil {
		said += fmt.Sprintf(" (limit %.1f hours)", *p.MaxHours)
	}
	if p.MaxTrees != nil {
		said += fmt.Sprintf(" (limit %s)", trees(*p.MaxTrees))
	}
	said += fmt.Sprintf("; %s left undone, %s for maintenance only, %s apart.", trees(len(p.Left)), trees(len(p.Maintenance)), trees(len(p.Apart)))
	return said + fmt.Sprintf(" A year takes %s to %s of a canopy. Regrowth %s to %s a year, from %s.",
		percent(p.Year.Low), percent(p.Year.High), percent(p.Regrowth.Low), percent(p.Regrowth.High), p.Regrowth.From)
}

func trees(n int) string {
	if n == 1 {
		return "1 tree"
	}
	return fmt.Sprintf("%d trees", n)
}

// column is one of the order's.
type column struct {
	head string
	x, w float64
	cell func(t *plan.Tree) string
}

func (s *sheet) columns() []column {
	cols := []column{
		{"", 0, 8, func(t *plan.Tree) string { return fmt.Sprint(t.Order) }},
		{"tree", 0, 66, func(t *plan.Tree) string { return s.name(t.ID) }},
		{"rank", 0, 20, rank},
		{"leaf", 0, 18, share},
		{"way", 0, 54, method},
		{"hours", 0, 12, hours},
		{"done", 0, 8, func(*plan.Tree) string { return "" }},
	}
	x := margin
	for i := range cols {
		cols[i].x = x
		x += cols[i].w
	}
	return cols
}

func hours(t *plan.Tree) string {
	if t.Hours == nil {
		return ""
	}
	return fmt.Sprintf("%.1f", *t.Hours)
}

func (s *sheet) table() {
	const rowMM = 6.2
	cols := s.columns()
	s.tableHead(cols)
	for i := range s.plan.Trees {
		if s.y+rowMM > bottom {
			s.newPage()
			s.tableHead(cols)
		}
		s.y += rowMM
		for _, c := range cols {
			s.fit(c.x, s.y-1.8, bodyMM, c.w-2, "", c.cell(&s.plan.Trees[i]))
		}
		last := cols[len(cols)-1]
		s.box(last.x+1, s.y-1.8-boxMM+0.6)
		s.rule(margin, pageW-margin, s.y)
	}
	s.y += 2
}

func (s *sheet) tableHead(cols []column) {
	s.y += bodyMM * leading
	for _, c := range cols {
		s.at(c.x, s.y-1, smallMM, "", c.head)
	}
	s.rule(margin, pageW-margin, s.y)
}

// lists are the trees that are not in the order of work.
func (s *sheet) lists() {
	if len(s.plan.Apart) > 0 {
		s.head(margin, textW, "Apart: do not cut by this plan")
		for _, line := range s.apart() {
			s.item(margin, textW, bodyMM, line)
		}
	}
	if len(s.plan.Left) > 0 {
		s.head(margin, textW, "Left undone under the limits")
		var ids []string
		for i := range s.plan.Left {
			t := &s.plan.Left[i]
			ids = append(ids, fmt.Sprintf("%s (rank %d, %s)", short(t.ID), t.Rank, share(t)))
		}
		s.para(margin, textW, bodyMM, "", strings.Join(ids, "; ")+".")
	}
	if len(s.plan.Maintenance) > 0 {
		s.head(margin, textW, "Maintenance only: water shoots, stubs, dead wood")
		s.para(margin, textW, bodyMM, "", strings.Join(plan.MaintenanceNames(s.plan.Maintenance), "; ")+".")
	}
}

// apart says why trees stand apart, those of one reason together.
func (s *sheet) apart() []string {
	var whys []string
	of := map[string][]string{}
	for _, a := range s.plan.Apart {
		why := strings.Join(a.Reasons, "; ")
		if a.Advice != "" {
			why += ". " + upper(a.Advice)
		}
		if of[why] == nil {
			whys = append(whys, why)
		}
		of[why] = append(of[why], s.name(a.ID))
	}
	var lines []string
	for _, why := range whys {
		lines = append(lines, strings.Join(of[why], "; ")+": "+why+".")
	}
	return lines
}

func short(id orchard.TreeID) string {
	return fmt.Sprintf("%s row %d tree %d", id.Block, id.Row, id.Tree)
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// when says the seasons and the follow-up.
func (s *sheet) when() {
	if len(s.plan.Seasons)+len(s.plan.Rounds) == 0 || len(s.plan.Trees) == 0 {
		return
	}
	s.head(margin, textW, "When")
	for _, season := range s.plan.Seasons {
		s.item(margin, textW, bodyMM, "Block "+season.Block+": "+season.Say+".")
	}
	for i, r := range s.plan.Rounds {
		from := fmt.Sprintf("%d days after the cut", r.DaysAfter)
		if r.From != "" {
			from += ", from " + r.From + " on"
		}
		s.item(margin, textW, bodyMM, fmt.Sprintf("Follow-up %d, %s: %s.", i+1, from, r.Do))
	}
}
