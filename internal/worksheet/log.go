package worksheet

// log is the stump and paint log: a line for each tree in the order of work, and blank
// ones.
func (s *sheet) log() {
	const rowMM, blank = 8.5, 10
	heads := []struct {
		head string
		w    float64
	}{
		{"day", 20}, {"tree", 34}, {"limb or stump (cm across)", 38}, {"stub left (cm)", 22}, {"cut at", 16}, {"painted at", 18}, {"paint", 18}, {"by", 20},
	}
	title := func() {
		s.newPage()
		s.y += headMM
		s.at(margin, s.y, headMM, "B", "Stump and paint log")
		s.y += 1
		s.para(margin, textW, smallMM, "", "A line for every stump, every stub of a main limb, and every cut that bares shaded wood. Paint before the cut or within an hour after.")
		s.y += bodyMM * leading
		x := margin
		for _, h := range heads {
			s.fit(x+0.5, s.y-1, smallMM, h.w-1, "B", h.head)
			x += h.w
		}
		s.rule(margin, pageW-margin, s.y)
	}
	title()
	for i := 0; ; i++ {
		if full := s.y+rowMM > bottom; full && i >= len(s.plan.Trees)+blank {
			return // at least so many blank lines, and the page filled
		} else if full {
			title()
		}
		y0 := s.y
		s.y += rowMM
		if i < len(s.plan.Trees) {
			s.fit(margin+heads[0].w+0.5, s.y-2.5, bodyMM, heads[1].w-1, "", short(s.plan.Trees[i].ID))
		}
		x := margin
		for _, h := range heads[:len(heads)-1] {
			x += h.w
			s.pdf.Line(x, y0, x, s.y)
		}
		s.rule(margin, pageW-margin, s.y)
	}
}
