package plan

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// percent is a share in whole percents: a budget is good to 5 to 8 points.
func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }

// withBlock says what a floor's light counts as, where its block's trees change it.
func (l *Light) withBlock() string {
	if l.Weighed == nil || percent(l.Weighed.Value) == percent(l.SunlitFraction.Value) {
		return ""
	}
	return fmt.Sprintf(" (with its block's trees %s)", percent(l.Weighed.Value))
}

// placesOf says the places in a crew's words.
func (b *builder) placesOf(t *Tree) []Place {
	places := []Place{}
	for _, p := range t.places {
		say := b.sayPlace(t, p)
		if !p.Sure {
			say += " The measurement leaves it open: look again before you cut."
		}
		places = append(places, Place{
			Kind: string(p.Kind), Side: p.Side, Face: b.faceOf(t, p.Side), LowM: round2(p.LowM), HighM: round2(p.HighM), SizeM: round2(p.SizeM),
			Outline: p.OutlineShare, Sure: p.Sure, Say: say,
		})
	}
	return places
}

func (b *builder) sayPlace(t *Tree, p metrics.CutPlace) string {
	switch p.Kind {
	case metrics.CutTop:
		s := fmt.Sprintf("Top: bring it from %.1f m down to %.1f m, each limb back to a side limb, not flat.", p.HighM, p.LowM)
		if t.staged {
			s += fmt.Sprintf(" That is this year's most; the limit of %.1f m comes in the years after.", b.heightLimit(t.ID))
		}
		return s
	case metrics.CutShoulder:
		return fmt.Sprintf("Shoulders: from %.1f to %.1f m they hang out %.1f m a side over the lower third; take them back inside it.", p.LowM, p.HighM, p.SizeM)
	case metrics.CutAlley:
		return b.sayAlley(t, p)
	case metrics.CutWindow:
		return fmt.Sprintf("Window: about %.0f m across, between %.1f and %.1f m, where the crown is fullest; right through, so that the sun reaches the limbs inside.", p.SizeM, p.LowM, p.HighM)
	}
	return fmt.Sprintf("Skirt: lift it from %.1f to %.1f m.", p.LowM, p.HighM)
}

// round2 keeps centimetres.
func round2(v float64) float64 { return math.Round(100*v) / 100 }

// darkHalf of the floor's square metres under 5 % sunlit: a mean at target hides it
// (ours).
const darkHalf = 0.5

// bareBelow: foliage that begins above this share of the tree's height has lost the
// lower third.
const bareBelow = 1.0 / 3

// treeCautions are those of one tree, beside the plan's own.
func (b *builder) treeCautions(t *Tree, r *orchard.TreeResult, form metrics.TreeForm, marks []orchard.Mark) []string {
	said := []string{}
	if len(t.Options) > 0 && t.Options[0].bares {
		said = append(said, fmt.Sprintf("Paint all wood that comes out of the shade, before the cut or within an hour after, first on the side of %s.", b.sunSide()))
	}
	if base, h := form.CrownBaseM, form.HeightM; base != nil && h != nil && base.Value > bareBelow*h.Value {
		said = append(said, fmt.Sprintf("The lower third has no leaf (it begins at %.1f m): keep the shoots that come low on the trunk and limbs.", base.Value))
	}
	if l := t.Light; l != nil && !l.Met {
		if m := r.Find(orchard.SunlitFractionRef); m != nil && m.Value != nil && len(m.Photos) == 1 {
			said = append(said, "The floor's light is from one photo, of the few square metres it shows: look at the whole floor before you settle on the share.")
		}
		switch {
		case l.never:
			said = append(said, fmt.Sprintf("Even thinning within %s a year will not get there: regrowth gives back as much. The method must change: clear a window, or take a limb.", percent(b.year.High)))
		case l.Bound:
			said = append(said, fmt.Sprintf("No sun was seen on the floor: the need is at least %s of the leaf, how much more cannot be told.", percent(l.Thinning.Value)))
		}
		if l.Unsure {
			said = append(said, "The floor's light may be at its target already (within its interval): look up before you cut.")
		}
	}
	if dim := estimate(r.Find(orchard.DarkFloorShare)); dim != nil && dim.Value >= darkHalf && t.Light != nil && t.Light.Met {
		said = append(said, fmt.Sprintf("The floor's mean is at its target, but %s of its square metres are dark: one bright hole, dense elsewhere.", percent(dim.Value)))
	}
	for _, m := range marks {
		said = append(said, "Marked: "+m.Reason()+".")
	}
	return said
}

// sunSide is where bare wood burns first: the side of the midday sun, and the west,
// where the sun of the hot hours stands.
func (b *builder) sunSide() string {
	if b.in.Orchard.Place.LatDeg < 0 {
		return "north and west"
	}
	return "south and west"
}

func gateAdvice(k orchard.MarkKind) string {
	switch k {
	case orchard.PowerLine:
		return "no crew near it: ask the network operator; only those licensed for work at lines"
	case orchard.RootRot, orchard.RootRotSuspected:
		return "mend the drainage and treat first; a light prune at most, to balance weak roots; work it last and clean boots, wheels and tools after"
	case orchard.TooYoung:
		return "shape it lightly; the main programme begins in year 4 to 5 (earlier for the open habit)"
	case orchard.JustPruned:
		return "follow-up rounds only"
	}
	return "take the photos again"
}

// cautions are said on every plan and every work sheet.
func cautions() []string {
	return []string{
		"Local codes and licensed practice come first; this sheet is no instruction and no legal advice.",
		"Power lines: look for them before any machine or pole goes up; no one untrained cuts where a part could fall into a line's zone. Lines sag metres lower on hot days.",
		"Chainsaw: trained hands, full protection, two persons, never from a ladder.",
		"Platform: trained operator, harness, firm and level ground, someone on the ground who watches.",
		"Falling limbs: no one under the cut; large limbs in parts; keep clear of the grab.",
		"Stubs are sharp: eyes and hands; cut them clean where pickers pass.",
		"Tools: clean and disinfect between blocks and after every sick tree; root rot and viroids travel on tools, boots and wheels. Sick blocks last.",
		"Sprays: keep out of the rows until the re-entry time on the label is over.",
		"Log every stump; brown root rot starts from stumps.",
	}
}
