package metrics

import (
	"fmt"
	"math"
)

// part is one part of the score.
type part int

const (
	floorPart part = iota
	heightPart
	alleyPart
	shapePart
	partCount
)

// quantities the part rests on; the one with the larger shortfall counts.
func (p part) quantities() []quantity {
	return [partCount][]quantity{{ofSunlit}, {ofHeight}, {ofAlley}, {ofDensity, ofTaper}}[p]
}

func (p part) name() string {
	return [partCount]string{"floor light", "height", "alley", "density"}[p]
}

func (p part) shot() string {
	return [partCount]string{"floor", "side", "alley", "side"}[p]
}

const (
	// fullFloorRemoval: the floor part is full where half of the leaf must come
	// off, two years of the most that the trade takes in one (25 %).
	fullFloorRemoval = 0.5
	// fullHeightExcess: the height part is full at half above the limit, 7.5 m
	// for 5 m, out of reach of ladders and most sprayers. Ours.
	fullHeightExcess = 0.5
	// fullTaperExcess: half as wide again at the top as at the bottom. Ours.
	fullTaperExcess = 0.5
)

// shortfall of a quantity's value from its target, 0 (met) to 1:
//
//	floor   r/0.5, r = 1 - ln Pt/ln P the share of leaf to take out for the
//	        floor to reach Pt (no leaf angle, no clumping in it)
//	height  (h - limit)/limit/0.5
//	alley   (target - w)/target
//	density (d - target)/(1 - target)
//	taper   (ratio - target)/target/0.5
func shortfall(q quantity, v, rowSpacingM float64, t ScoreTargets) float64 {
	switch q {
	case ofSunlit:
		return clampUnit(removalShare(v, t.Sunlit) / fullFloorRemoval)
	case ofHeight:
		limit := t.HeightLimit(rowSpacingM)
		return clampUnit((v - limit) / limit / fullHeightExcess)
	case ofAlley:
		return clampUnit((t.ClearAlleyM - v) / t.ClearAlleyM)
	case ofDensity:
		return clampUnit((v - t.Density) / (1 - t.Density))
	default:
		return clampUnit((v - t.TopToBottom) / t.TopToBottom / fullTaperExcess)
	}
}

// removalShare is the share of leaf to take out, evenly, for a floor sunlit by p
// to reach the target: 1 - ln(target)/ln(p), by the gap fraction's own form.
func removalShare(p, target float64) float64 {
	switch {
	case p >= target:
		return 0
	case p <= 0:
		return 1
	}
	return 1 - math.Log(target)/math.Log(p)
}

// clampUnit keeps v within 0 and 1; what is not a number counts as no shortfall.
func clampUnit(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	return math.Min(v, 1)
}

// partShortfall is the larger of the shortfalls of what is known of the part,
// and the quantity it comes from; ok is false where nothing is.
func partShortfall(p part, t ScoreTree, b beliefs, value func(quantity) float64, tg ScoreTargets) (s float64, of quantity, ok bool) {
	seen := p.seen(b)
	for _, q := range p.quantities() {
		if b[q].from == fromNowhere || (seen && b[q].from != fromPhotos) {
			continue // one quantity measured speaks for the part
		}
		if v := shortfall(q, value(q), t.RowSpacingM, tg); !ok || v > s {
			s, of, ok = v, q, true
		}
	}
	return s, of, ok
}

// seen says whether anything of the part was measured on the tree itself.
func (p part) seen(b beliefs) bool {
	for _, q := range p.quantities() {
		if b[q].from == fromPhotos {
			return true
		}
	}
	return false
}

// pointScore is the score at the measured values, part by part.
func pointScore(t ScoreTree, b beliefs, w [partCount]float64, tg ScoreTargets) (float64, []ScorePart) {
	value := func(q quantity) float64 { return q.scale().from(b[q].mean) }
	var sum float64
	var parts []ScorePart
	for p := range partCount {
		s, q, ok := partShortfall(p, t, b, value, tg)
		out := ScorePart{Name: p.name(), Points: s * w[p], Weight: w[p], Missing: !p.seen(b)}
		switch {
		case !ok:
			out.Reason = fmt.Sprintf("no tree has a usable %s photo: counts nothing, widens the interval", p.shot())
		case out.Missing:
			out.Reason = fmt.Sprintf("no usable %s photo: taken as %s (%s), the interval widened",
				p.shot(), b[q].takenAs(q), partWords(q, value(q), t, tg))
		default:
			out.Reason = partWords(q, q.scale().from(b[q].seen), t, tg) + b[q].countedAs(q)
		}
		sum += out.Points
		parts = append(parts, out)
	}
	return sum, parts
}

// countedAs says what a value counts as, where its block's mean or the tree's other
// numbers were weighed in by more than the words would round away.
func (b belief) countedAs(q quantity) string {
	counted := q.words(b.mean)
	switch {
	case counted == q.words(b.seen):
		return ""
	case counted == q.words(b.alone):
		return fmt.Sprintf(" (counted as %s: its photos are less sure than the block is even)", counted)
	}
	return fmt.Sprintf(" (counted as %s: its photos are weighed with the block and with its own %s, for in these blocks the two go together)", counted, b.lender.name())
}

// takenAs says what a quantity without a photo was taken as.
func (b belief) takenAs(q quantity) string {
	if q.words(b.mean) == q.words(b.alone) {
		return "other trees' mean"
	}
	return fmt.Sprintf("other trees have it that are like this one in %s", b.lender.name())
}

// name of the quantity, as a grower says it.
func (q quantity) name() string {
	return [quantityCount]string{"floor light", "height", "alley", "density", "taper"}[q]
}

// words are a value, given on the quantity's scale, as rounded as it is shown.
func (q quantity) words(on float64) string {
	v := q.scale().from(on)
	switch q {
	case ofSunlit, ofDensity:
		return fmt.Sprintf("%.0f %%", 100*v)
	case ofTaper:
		return fmt.Sprintf("%.2f", v)
	default:
		return fmt.Sprintf("%.1f m", v)
	}
}

// partWords says a value beside its target as a grower would.
func partWords(q quantity, v float64, t ScoreTree, tg ScoreTargets) string {
	switch q {
	case ofSunlit:
		return fmt.Sprintf("floor %.0f %% sunlit, target %.0f %%", 100*v, 100*tg.Sunlit)
	case ofHeight:
		return fmt.Sprintf("%.1f m tall, limit %.1f m", v, tg.HeightLimit(t.RowSpacingM))
	case ofAlley:
		return fmt.Sprintf("alley %.1f m clear, target %.1f m", math.Max(v, 0), tg.ClearAlleyM)
	case ofDensity:
		return fmt.Sprintf("outline %.0f %% filled with leaf, at most %.0f %%", 100*v, 100*tg.Density)
	default:
		return fmt.Sprintf("top %.2f times as wide as the bottom, at most %.2f", v, tg.TopToBottom)
	}
}
