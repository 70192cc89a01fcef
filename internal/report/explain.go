package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// WriteExplain prints every number of a tree with its interval, what the interval is
// made of, largest part first, and the photos it comes from. Parts are shown as the
// 95 % interval they alone would give, and as their share of the variance.
func WriteExplain(w io.Writer, res *orchard.VisitResult, id orchard.TreeID) error {
	i := slices.IndexFunc(res.Trees, func(t orchard.TreeResult) bool { return t.ID == id })
	if i < 0 {
		return fmt.Errorf("visit %s has no photo or tape of tree %s", res.Visit, id)
	}
	t := &res.Trees[i]
	p := &printer{w: w}
	p.line("%s, visit %s", id.Words(), res.Visit)
	for _, m := range ordered(t.Measurements) {
		explain(p, m)
	}
	for _, f := range t.Flags {
		p.line("note: %s", f)
	}
	explainPhotos(p, res, id)
	return p.err
}

// printer keeps the first error of many lines.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, a ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, plain(fmt.Sprintf(format, a...)))
	}
}

// ordered puts the numbers in the order people read them, profiles by their place.
func ordered(ms []orchard.Measurement) []orchard.Measurement {
	out := slices.Clone(ms)
	place := func(m orchard.Measurement) int {
		if i := slices.IndexFunc(quantities, func(q quantity) bool { return q.Q == m.Quantity }); i >= 0 {
			return i
		}
		return len(quantities)
	}
	at := func(m orchard.Measurement) float64 {
		if m.AtM == nil {
			return -1
		}
		return *m.AtM
	}
	slices.SortStableFunc(out, func(a, b orchard.Measurement) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), strings.Compare(string(a.Quantity), string(b.Quantity)), cmp.Compare(at(a), at(b)))
	})
	return out
}

func explain(p *printer, m orchard.Measurement) {
	q := known(m)
	label := q.Label
	if m.AtM != nil {
		label += fmt.Sprintf(" at %.1f m", *m.AtM)
	}
	p.line("")
	if m.Value == nil {
		p.line("%s: none: %s", label, m.Absent)
		return
	}
	how := ""
	if m.Method != "" {
		how = ", by " + m.Method
	}
	p.line("%s: %s%s", label, show(m, q.Form).Full(), how)
	explainParts(p, m, q.Form)
	for _, f := range m.Flags {
		p.line("  note: %s", f)
	}
	if len(m.Photos) > 0 {
		p.line("  from %s", strings.Join(m.Photos, ", "))
	}
}

// normal95 is the 97.5 % point of the normal distribution.
const normal95 = 1.959964

func explainParts(p *printer, m orchard.Measurement, f form) {
	parts := slices.Clone(m.Parts)
	if len(parts) == 0 {
		p.line("  its interval is not split: it follows from other numbers, or from a rule")
		return
	}
	parts = append(parts, unsplit(m)...)
	slices.SortStableFunc(parts, func(a, b orchard.ErrorPart) int { return cmp.Compare(b.SD, a.SD) })
	var variance float64
	for _, e := range parts {
		variance += e.SD * e.SD
	}
	scale, decimals, unit := 1.0, 2, ""
	switch f {
	case share:
		scale, decimals, unit = 100, 1, " points"
	case metres:
		unit = " m"
	case area:
		unit = " m2"
	}
	var small []string
	for _, e := range parts {
		if of := e.SD * e.SD / variance; of >= smallPart {
			p.line("  %-24s ± %.*f%s, %.0f %%", e.Name, decimals, scale*normal95*e.SD, unit, 100*of)
		} else {
			small = append(small, e.Name)
		}
	}
	if len(small) > 0 {
		p.line("  %s: under 1 %%", strings.Join(small, ", "))
	}
}

// smallPart of a variance is not worth a line of its own.
const smallPart = 0.005

// unsplit is what an interval holds beyond its parts, where that is more than what
// rounding and a share's skewed interval leave: a fifth of the interval's own width.
func unsplit(m orchard.Measurement) []orchard.ErrorPart {
	const slack = 0.2
	sd := (*m.High95 - *m.Low95) / (2 * normal95)
	left := sd * sd
	for _, e := range m.Parts {
		left -= e.SD * e.SD
	}
	if left <= 0 || math.Sqrt(left) < sd*math.Sqrt(1-(1-slack)*(1-slack)) {
		return nil
	}
	return []orchard.ErrorPart{{Name: "not split", SD: math.Sqrt(left)}}
}

// explainPhotos lists the tree's photos and what became of each.
func explainPhotos(p *printer, res *orchard.VisitResult, id orchard.TreeID) {
	p.line("")
	for _, r := range slices.Concat(res.Photos, res.Pairs) {
		if r.Tree == nil || *r.Tree != id {
			continue
		}
		if r.Status == orchard.Measured {
			p.line("%s: %s, %s", r.Path, r.Kind, r.Status)
			continue
		}
		p.line("%s: %s, %s: %s: %s", r.Path, r.Kind, r.Status, r.Reason, r.Mend)
	}
}
