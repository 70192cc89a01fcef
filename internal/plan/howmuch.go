package plan

import (
	"fmt"
	"math"
	"strings"

	"rowlight/metrics"
)

// howMuch sets this year's share: what light asks for, from a window to even thinning,
// and what the form's places take in any case, all within the year's limits.
func (b *builder) howMuch(t *Tree) {
	form := 0.0
	for _, p := range t.places {
		if p.OutlineShare != nil {
			form += *p.OutlineShare
		}
	}
	if !t.due {
		t.ThisYear = ThisYear{Say: "no main cut due: maintenance only"}
		return
	}
	low, high := form, form
	if l := t.Light; l != nil && !l.Met {
		low = math.Max(form, l.Window.Value)
		high = math.Max(low, l.Thinning.Value) // where that is a bound it can lie under the window
		if l.WithSite != nil {
			low, high = math.Max(form, l.WithSite.Value), math.Max(form, l.WithSite.Value)
		}
	}
	// A cut is due even where the side photo cannot say how much: the year's least.
	least := math.SmallestNonzeroFloat64
	t.ThisYear.Low, t.ThisYear.High = b.year.Cut(math.Max(low, least)), b.year.Cut(math.Max(high, least))
	b.expect(t)
	t.ThisYear.Say = b.sayThisYear(t, form)
}

// expect says what the floor may come to: thinned evenly by the larger share, or with
// the smaller one put into a window.
func (b *builder) expect(t *Tree) {
	if t.Light == nil || t.Light.Met || t.Light.Bound { // from a bound nothing can be expected
		return
	}
	p0, site := t.Light.Counted().Value, 1.0
	if b.site != nil {
		site = b.site.Value
	}
	thinned := metrics.AfterThinning(p0, t.ThisYear.High)
	window := metrics.AfterWindow(p0, t.ThisYear.Low, site)
	t.ThisYear.Expect = &Expect{min(thinned, window), max(thinned, window)}
}

// stageTop lowers a top that is more than a year's most over several years: this
// year down to the height over which a year's most of the outline lies.
func (b *builder) stageTop(t *Tree, form metrics.TreeForm) {
	for i := range t.places {
		p := &t.places[i]
		if p.Kind != metrics.CutTop || p.OutlineShare == nil || *p.OutlineShare <= b.year.High {
			continue
		}
		z, ok := form.HeightOver(b.year.High)
		if !ok || z <= p.LowM {
			continue
		}
		share := b.year.High
		p.LowM, p.SizeM, p.OutlineShare = z, p.HighM-z, &share
		t.staged = true
	}
}

// sayThisYear puts the share into a sentence.
func (b *builder) sayThisYear(t *Tree, form float64) string {
	var s strings.Builder
	if percent(t.ThisYear.Low) == percent(t.ThisYear.High) {
		fmt.Fprintf(&s, "Take about %s of the leaf", percent(t.ThisYear.Low))
	} else {
		fmt.Fprintf(&s, "Take %s of the leaf if it is put into one window, up to %s if it is thinned evenly", percent(t.ThisYear.Low), percent(t.ThisYear.High))
	}
	if form >= worthNaming {
		fmt.Fprintf(&s, "; the places below are about %s of the outline", percent(form))
	}
	if form > b.year.High {
		fmt.Fprintf(&s, ", more than a year's most of %s: begin from the top, leave the rest to next year", percent(b.year.High))
	}
	s.WriteString(".")
	switch l := t.Light; {
	case l == nil:
		s.WriteString(" The floor's light was not measured: this is for height and shape alone.")
	case !l.Met && t.ThisYear.Expect != nil:
		fmt.Fprintf(&s, " Expect %s to %s of the floor sunlit after it.", percent(t.ThisYear.Expect.Low), percent(t.ThisYear.Expect.High))
	case l.Met:
		s.WriteString(" The floor has its light: this is for height and shape alone.")
	}
	return s.String()
}

// worthNaming: less of the outline than this rounds to nothing on a tree.
const worthNaming = 0.02
