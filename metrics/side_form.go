package metrics

import (
	"math"
	"sort"
)

const (
	// formStepM is the step of heights at which the outline's form is read.
	formStepM = 0.10
	// flatBelow of the crown's height under its top, and still flatShare of its
	// widest width there, is a flat top: an ellipsoid has 0.60 there, a cone 0.1 to
	// 0.2, a box 1; the limit lies half-way between ellipsoid and box.
	flatBelow, flatShare = 0.10, 0.80
	// An open centre: the top dips by dipShare of the crown's height (dipLeastM at
	// least) between two limbs, over at least dipBreadthM; deeper than the dents
	// between two shoots.
	dipShare, dipLeastM, dipBreadthM = 0.15, 0.40, 0.40
	// shoulderM: a crown's widest part that stands out over its bottom third by more
	// a side shades it (common practice: a hand's length and more).
	shoulderM = 0.30
	// faceLeast heights make a face's line.
	faceLeast   = 5
	windowsMost = 12
)

// WindowLeastM: windows are openings of about 1 m (trade sheet 6.2: in a hedge's
// face about 1 m across); inscribed circles from here on count.
const WindowLeastM = 0.70

// SideForm is a crown's form as drawn on the row's plane.
type SideForm struct {
	// FaceDeg is how far its sides lean in from the vertical, bottom to top, the
	// mean of both; negative where they lean out. FaceSDDeg is its standard
	// deviation. NaN for a crown too short.
	FaceDeg, FaceSDDeg float64
	// WidestM is the height of the widest part, middle of the heights within 5 %
	// of the widest width; WidestSDM half their spread.
	WidestM, WidestSDM float64
	// ShoulderWide, FlatTop and OpenCentre name what a pruner sees.
	ShoulderWide, FlatTop, OpenCentre bool
}

// Form reads the form; ok is false for a crown too short or too thin.
func (t *SideTree) Form() (f SideForm, ok bool) {
	lo, hi := t.heightQuantile(baseQuantile), t.heightQuantile(topQuantile)
	if !(hi-lo >= leastCrownForShapeM) {
		return f, false
	}
	var z, half []float64
	widest := 0.0
	for h := lo + formStepM/2; h < hi; h += formStepM {
		if a, b, ok := t.slabOf(h, formStepM/2, slabTrim); ok {
			z, half = append(z, h), append(half, (b-a)/2)
			widest = math.Max(widest, (b-a)/2)
		}
	}
	if len(z) < faceLeast || widest == 0 {
		return f, false
	}
	slope, sd := lineSlope(z, half)
	f.FaceDeg = -math.Atan(slope) * 180 / math.Pi
	f.FaceSDDeg = sd / (1 + slope*slope) * 180 / math.Pi
	f.WidestM, f.WidestSDM = widestAt(z, half, widest)
	f.FlatTop = halfAt(z, half, hi-flatBelow*(hi-lo)) >= flatShare*widest
	if s := t.Shoulder(); s.Reason == "" {
		f.ShoulderWide = s.M-s.SDM > shoulderM
	}
	f.OpenCentre = t.openCentre(hi - lo)
	return f, true
}

// lineSlope is the least-squares slope of y over x with its standard deviation.
func lineSlope(x, y []float64) (slope, sd float64) {
	n := float64(len(x))
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	var xx, xy float64
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
	}
	slope = xy / xx
	var rest float64
	for i := range x {
		d := y[i] - my - slope*(x[i]-mx)
		rest += d * d
	}
	return slope, math.Sqrt(rest / math.Max(1, n-2) / xx)
}

// widestAt is the middle and half spread of the heights within 5 % of the widest.
func widestAt(z, half []float64, widest float64) (m, sd float64) {
	const within = 0.95
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, h := range half {
		if h >= within*widest {
			lo, hi = math.Min(lo, z[i]), math.Max(hi, z[i])
		}
	}
	return (lo + hi) / 2, rss((hi-lo)/2, formStepM)
}

func halfAt(z, half []float64, atM float64) float64 {
	k := min(sort.SearchFloat64s(z, atM), len(z)-1)
	return half[k]
}

// openCentre tells whether the top dips between two limbs.
func (t *SideTree) openCentre(crownM float64) bool {
	sky := t.skyline()
	if len(sky) < 3 {
		return false
	}
	top := make([]float64, len(sky))
	for i, c := range sky {
		top[i] = c.ZM
	}
	dip := math.Max(dipLeastM, dipShare*crownM)
	right := append([]float64(nil), top...) // the highest from here on
	for i := len(right) - 2; i >= 0; i-- {
		right[i] = math.Max(right[i], right[i+1])
	}
	left, start := 0.0, -1
	for i := range top {
		left = math.Max(left, top[i])
		if math.Min(left, right[i])-top[i] >= dip {
			if start < 0 {
				start = i
			}
			if sky[i].XM-sky[start].XM >= dipBreadthM {
				return true
			}
		} else {
			start = -1
		}
	}
	return false
}

// Windows are the openings of about 1 m, the largest first.
func (t *SideTree) Windows() []SideGap {
	var out []SideGap
	for _, g := range t.Gaps(windowsMost) {
		if g.DiameterM >= WindowLeastM {
			out = append(out, g)
		}
	}
	return out
}
