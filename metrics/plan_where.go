package metrics

import "math"

// CutKind is a part of the tree that a cut can be for.
type CutKind string

// The kinds, in the order in which a crew goes about them.
const (
	CutTop      CutKind = "top"
	CutShoulder CutKind = "shoulder"
	CutAlley    CutKind = "alley side"
	CutWindow   CutKind = "window"
	CutSkirt    CutKind = "skirt"
)

// TreeForm is what is known of a tree's form; nil was not measured. Widths are the
// crown's along the row, from the ground up.
type TreeForm struct {
	HeightM, CrownBaseM, ShoulderM, TopToBottom *Estimate
	DensityFraction, DensityMiddleFraction      *Estimate
	LargestGapM                                 *Estimate
	Alleys                                      []AlleyBeside // the narrower first
	Widths                                      []WidthAt
}

// WidthAt is the crown's width at a height above the ground.
type WidthAt struct{ AtM, WidthM float64 }

// CutLimits are what the form is held against; a SkirtM of 0 asks for no skirt.
type CutLimits struct {
	HeightM, ClearAlleyM, SkirtM float64
	DensityFraction              float64 // of the outline filled, at most
	WindowM                      float64 // across
	// Dark: the floor is short of light. A full crown over a light floor wants no
	// window.
	Dark bool
}

// CutPlace is one place to cut.
type CutPlace struct {
	Kind CutKind
	Side string // which alley, as AlleyBeside.Side
	// LowM and HighM above the ground bound where; for a top the cut is at LowM.
	LowM, HighM float64
	// SizeM: a top's excess height, a shoulder's overhang, how far an alley side
	// goes back, a window's diameter, how far a skirt is lifted.
	SizeM float64
	// OutlineShare of the crown's outline that comes off with it; nil where it
	// cannot be told from the side.
	OutlineShare *float64
	// Sure: what is over the limit is so at 95 %; else the crew looks again.
	Sure bool
}

const (
	// leastShoulderM of overhang shades the limbs under it: a leaf cluster's length
	// is a third of it (ours).
	leastShoulderM = 0.30
	// shoulderOverM: a width belongs to the shoulder where it stands out over the
	// bottom third's widest by half of that on each side.
	shoulderOverM = leastShoulderM
	thirds        = 3
	// leastTopM over the limit is worth a saw: less is a season's shoot tips (ours).
	leastTopM = 0.20
)

// WhereToCut lists the places that a tree's form asks for, in the order of the kinds.
func WhereToCut(f TreeForm, l CutLimits) []CutPlace {
	var out []CutPlace
	for _, find := range []func(TreeForm, CutLimits) []CutPlace{
		atMostOne(cutTop), atMostOne(cutShoulder), cutAlleys, atMostOne(cutWindow), atMostOne(cutSkirt),
	} {
		out = append(out, find(f, l)...)
	}
	return out
}

func atMostOne(find func(TreeForm, CutLimits) (CutPlace, bool)) func(TreeForm, CutLimits) []CutPlace {
	return func(f TreeForm, l CutLimits) []CutPlace {
		if p, ok := find(f, l); ok {
			return []CutPlace{p}
		}
		return nil
	}
}

func cutTop(f TreeForm, l CutLimits) (CutPlace, bool) {
	if f.HeightM == nil || f.HeightM.Value < l.HeightM+leastTopM {
		return CutPlace{}, false
	}
	h := f.HeightM.Value
	return CutPlace{
		Kind: CutTop, LowM: l.HeightM, HighM: h, SizeM: h - l.HeightM,
		OutlineShare: f.shareBetween(l.HeightM, h), Sure: f.HeightM.Low95 > l.HeightM,
	}, true
}

func cutShoulder(f TreeForm, _ CutLimits) (CutPlace, bool) {
	if f.ShoulderM == nil || f.ShoulderM.Value < leastShoulderM || !f.spans() {
		return CutPlace{}, false
	}
	over := f.widestUnder(f.third(1)) + shoulderOverM
	p := CutPlace{Kind: CutShoulder, SizeM: f.ShoulderM.Value, Sure: f.ShoulderM.Low95 >= leastShoulderM}
	for _, w := range f.Widths {
		if w.AtM < f.third(1) || w.WidthM < over {
			continue
		}
		if p.LowM == 0 {
			p.LowM = w.AtM
		}
		p.HighM = w.AtM
	}
	if p.LowM == 0 { // the profile's steps miss it: from the bottom third up
		p.LowM, p.HighM = f.third(1), f.third(2)
	}
	p.OutlineShare = f.shareOver(over-shoulderOverM, p.LowM, p.HighM)
	return p, true
}

func cutWindow(f TreeForm, l CutLimits) (CutPlace, bool) {
	d, gap := f.DensityMiddleFraction, f.LargestGapM
	if d == nil {
		d = f.DensityFraction
	}
	full := d != nil && d.Value > l.DensityFraction
	shut := gap != nil && gap.Value < l.WindowM
	if gap != nil && !shut { // it has its window
		return CutPlace{}, false
	}
	if !l.Dark || !f.spans() || !full && !shut {
		return CutPlace{}, false
	}
	low, high := f.third(1), f.third(2)
	if l.HeightM > low { // over the limit the top comes off anyway
		high = math.Min(high, l.HeightM)
	}
	return CutPlace{
		Kind: CutWindow, LowM: low, HighM: high, SizeM: l.WindowM,
		Sure: full && d.Low95 > l.DensityFraction || shut && gap.High95 < l.WindowM,
	}, true
}

func cutSkirt(f TreeForm, l CutLimits) (CutPlace, bool) {
	if f.CrownBaseM == nil || f.CrownBaseM.Value >= l.SkirtM {
		return CutPlace{}, false
	}
	b := f.CrownBaseM.Value
	return CutPlace{
		Kind: CutSkirt, LowM: b, HighM: l.SkirtM, SizeM: l.SkirtM - b,
		OutlineShare: f.shareBetween(b, l.SkirtM), Sure: f.CrownBaseM.High95 < l.SkirtM,
	}, true
}

// spans says whether the crown's base and top are known and apart.
func (f TreeForm) spans() bool {
	return f.HeightM != nil && f.CrownBaseM != nil && f.HeightM.Value > f.CrownBaseM.Value
}

// third is the height of the k-th third's upper end, k from 1.
func (f TreeForm) third(k int) float64 {
	return f.CrownBaseM.Value + (f.HeightM.Value-f.CrownBaseM.Value)*float64(k)/thirds
}

// widestUnder is the greatest width at or below a height, the lowest where all lie
// above.
func (f TreeForm) widestUnder(zM float64) float64 {
	widest := 0.0
	for i, w := range f.Widths {
		if i == 0 || w.AtM <= zM {
			widest = math.Max(widest, w.WidthM)
		}
	}
	return widest
}
