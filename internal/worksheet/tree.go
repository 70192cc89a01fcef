package worksheet

import (
	"fmt"
	"strings"

	"rowlight/internal/plan"
)

// A tree's page: the picture on the left, numbers beside it, everything else below.
const (
	pictureW, pictureH = 118.0, 100.0
	columnGap          = 5.0
	noteLineMM         = 7.5
)

func (s *sheet) tree(t *plan.Tree) {
	s.newPage()
	s.goesOn = fmt.Sprintf("%d of %d: %s, second page", t.Order, len(s.plan.Trees), s.name(t.ID))
	defer func() { s.goesOn = "" }()
	s.y += headMM
	s.fit(margin, s.y, headMM, textW-30, "B", fmt.Sprintf("%d of %d: %s", t.Order, len(s.plan.Trees), s.name(t.ID)))
	s.right(pageW-margin, s.y, bodyMM, "", "rank "+rank(t))
	s.y += 2.5
	top := s.y
	w, h := s.picture(t.ID, margin, top, pictureW, pictureH)
	s.numbers(t, margin+w+columnGap, textW-w-columnGap)
	s.y = max(s.y, top+h) + 1.5
	s.where(t)
	s.ways(t)
	s.watchOut(t)
	s.done(t)
}

func rank(t *plan.Tree) string {
	if t.RankLow == t.RankHigh {
		return fmt.Sprint(t.Rank)
	}
	return fmt.Sprintf("%d (%d to %d)", t.Rank, t.RankLow, t.RankHigh)
}

// numbers are the column beside the picture.
func (s *sheet) numbers(t *plan.Tree, x, widthMM float64) {
	const bigMM = 9
	s.para(x, widthMM, bodyMM, "B", "Take this year, of the leaf")
	s.y += bigMM + 0.5
	s.fit(x, s.y, bigMM, widthMM, "B", share(t))
	s.y += 2
	s.para(x, widthMM, bodyMM, "", t.ThisYear.Say)
	s.y += 1.5
	s.para(x, widthMM, bodyMM, "B", "Why")
	for _, line := range whyLines(t) {
		s.item(x, widthMM, bodyMM, line)
	}
	if c := t.DarkCore; c != nil {
		s.item(x, widthMM, bodyMM, "dark inside, deeper than 1 m, of the crown: "+percentRange(*c))
	}
	if t.Hours != nil {
		s.y += 1.5
		s.para(x, widthMM, bodyMM, "B", fmt.Sprintf("Time: %.1f hours", *t.Hours))
	}
}

// percentRange is a share with its interval: "6 % (4 % to 9 %)".
func percentRange(s plan.Share) string {
	return fmt.Sprintf("%s (%s to %s)", percent(s.Value), percent(s.Low95), percent(s.High95))
}

// whyLines say the floor's light and the years ahead.
func whyLines(t *plan.Tree) []string {
	l := t.Light
	if l == nil {
		return []string{"floor light not measured"}
	}
	lines := []string{"floor sunlit: " + percentRange(l.SunlitFraction)}
	if l.From != plan.FromFloor {
		lines[0] += ", judged by " + l.From
	}
	if w := l.Weighed; w != nil && percentRange(*w) != percentRange(l.SunlitFraction) {
		lines[0] = "floor sunlit, by its own photos: " + percentRange(l.SunlitFraction)
		lines = append(lines, fmt.Sprintf("with its block's trees: %s; the plan goes by this", percentRange(*w)))
	}
	if l.Met {
		return append(lines, "the floor has its light")
	}
	in := "in all, thinned evenly, of the leaf: " + percentRange(l.Thinning)
	if l.Bound {
		in = fmt.Sprintf("in all, thinned evenly: at least %s of the leaf", percent(l.Thinning.Value))
	}
	lines = append(lines, in,
		"or one clear window, of the sky: "+percentRange(l.Window))
	if y := l.Seasons; y != nil && l.Bound {
		lines = append(lines, fmt.Sprintf("years of even thinning: at least %s", y.Low95))
	} else if y != nil {
		lines = append(lines, fmt.Sprintf("years of even thinning: %s (%s to %s)", y.Median, y.Low95, y.High95))
	}
	return lines
}

func (s *sheet) where(t *plan.Tree) {
	s.head(margin, textW, "Where (the numbers are those on the picture)")
	if len(t.Places) == 0 {
		s.para(margin, textW, bodyMM, "", "No place stands out from the side: choose by eye where it is darkest inside.")
	}
	for i, p := range t.Places {
		s.tick(margin, textW, bodyMM, fmt.Sprintf("%d  %s", i+1, p.Say))
	}
}

func (s *sheet) ways(t *plan.Tree) {
	s.head(margin, textW, "Which way: "+method(t))
	for i, c := range t.Options {
		if i == 0 {
			for _, how := range c.How {
				s.item(margin, textW, bodyMM, how)
			}
			s.para(margin, textW, smallMM, "", "Because: "+strings.Join(c.Reasons, "; ")+".")
			for _, w := range c.Watch {
				s.para(margin, textW, smallMM, "", "Watch: "+w+".")
			}
			continue
		}
		s.para(margin, textW, smallMM, "", fmt.Sprintf("Also suited: %s (%s).", c.Name, strings.Join(c.Reasons, "; ")))
	}
	var out []string
	for _, c := range t.RuledOut {
		out = append(out, fmt.Sprintf("%s (%s)", c.Name, strings.Join(c.Reasons, "; ")))
	}
	if len(out) > 0 {
		s.para(margin, textW, smallMM, "", "Ruled out: "+strings.Join(out, ". ")+".")
	}
}

func (s *sheet) watchOut(t *plan.Tree) {
	s.head(margin, textW, "Watch out")
	for _, c := range t.Cautions {
		s.item(margin, textW, bodyMM, c)
	}
	for _, c := range treeChecks() {
		s.tick(margin, textW, bodyMM, c)
	}
}

// treeChecks are ticked before each tree: the cautions of the plan in short.
func treeChecks() []string {
	return []string{
		"Looked up: no power line near. Sprays: re-entry time over. No one under the cut.",
		"Saw, protection and platform checked, two persons; tools clean (disinfected after a sick tree).",
	}
}

// done are the boxes for afterwards, and room for notes.
func (s *sheet) done(t *plan.Tree) {
	const needMM = 34
	s.room(needMM)
	s.head(margin, textW, "Done")
	s.tick(margin, textW, bodyMM, "Cut as planned. Taken out, by eye: ______ %   Day: ____________   Crew: ______________________")
	s.tick(margin, textW, bodyMM, "Bare wood painted at ____ : ____ (cut at ____ : ____)     Stumps and stubs in the log")
	s.para(margin, textW, smallMM, "", "Notes (what was different, what is left for next year):")
	for s.y+noteLineMM < bottom {
		s.y += noteLineMM
		s.rule(margin, pageW-margin, s.y)
	}
}
