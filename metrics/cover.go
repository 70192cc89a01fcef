package metrics

import "math"

// SkyShares is what a photo taken straight up shows, as shares 0..1 of its field.
type SkyShares struct {
	// Low, Mid and High are the share of sky at three cuts between the canopy's
	// brightness and the sky's: strict, half-way, lenient.
	Low, Mid, High float64
	// EdgeShare is the length of the border between sky and canopy in pixels over
	// the field's pixels; BurntSky the share of the sky that is burnt out.
	EdgeShare, BurntSky float64
	// GapPx are the sizes of the gaps, pixels, and FieldPx the field's.
	GapPx   []int
	FieldPx int
	// Quarters are the shares of sky in parts of the field, for its unevenness.
	Quarters []float64
}

const (
	// largeGapShare of the field: a larger gap lies between crowns, a smaller one
	// within a crown (Macfarlane et al. 2007, Agric. For. Meteorol. 143:176-188,
	// 1.3 %; from memory). Half and double of it bound the doubt.
	largeGapShare = 0.013
	// glarePx: a burnt-out sky eats into the leaves before it by up to half a
	// pixel and more of lens glare; one SD, for a sky all burnt out. Ours.
	glarePx = 0.5
	// cutSDs: the strict and the lenient cut bound what a careful eye would
	// choose; taken as 1.5 SD to either side.
	cutSDs = 1.5
	// coverLeast is the smallest share of sky that counts as seen: a gap of
	// 3 cm in a field of 1.6 m, a few hundred pixels.
	coverLeast = 0.001
)

// Sky returns the share of the field through which sky shows, P at the zenith,
// 0..1. The interval speaks of this view, not of the tree.
func (s SkyShares) Sky() Estimate { return FromShare(s.Mid, s.skySE(), coverLeast) }

func (s SkyShares) skySE() float64 {
	cuts := math.Max((s.High-s.Low)/(2*cutSDs), coverLeast/2)
	return math.Hypot(cuts, glarePx*s.EdgeShare*s.BurntSky)
}

// large is the share of the field in gaps of at least so large a share of it.
func (s SkyShares) large(least float64) float64 {
	sum := 0.0
	for _, px := range s.GapPx {
		if float64(px) >= least*float64(s.FieldPx) {
			sum += float64(px)
		}
	}
	return sum / float64(s.FieldPx)
}

// FoliageCover is the share of the field covered by leaf and wood, f_f = 1 - gT
// with gT the share of all gaps (Macfarlane et al. 2007).
func (s SkyShares) FoliageCover() Estimate { return oneMinus(s.Sky()) }

// CrownCover is the share within the crowns' outlines, f_c = 1 - gL with gL the
// share of large gaps (Macfarlane et al. 2007). What counts as large is a
// convention: half and double of the limit count as 1.5 SD to either side.
func (s SkyShares) CrownCover() Estimate {
	return FromShare(1-s.large(largeGapShare), s.crownSE(), coverLeast)
}

func (s SkyShares) crownSE() float64 {
	limits := s.large(largeGapShare/2) - s.large(2*largeGapShare)
	return math.Hypot(s.skySE(), limits/(2*cutSDs))
}

func oneMinus(e Estimate) Estimate {
	return Estimate{Value: 1 - e.Value, Low95: 1 - e.High95, High95: 1 - e.Low95, Flags: e.Flags}
}

// CrownPorosity is the share of gaps within the crowns' outlines,
// Phi = 1 - f_f/f_c, from foliage cover and crown cover, 0..1; NaN for a crown
// cover of 0. (Macfarlane et al. 2007.)
func CrownPorosity(foliage, crown float64) float64 {
	if crown <= 0 {
		return math.NaN()
	}
	return math.Max(0, 1-foliage/crown)
}

// CoverPAI is the plant area index (leaf and wood per ground area)
// -f_c ln(Phi)/k, k the extinction at the zenith, G(0). It is +Inf for crowns
// without a gap. (Macfarlane et al. 2007.)
func CoverPAI(foliage, crown, k float64) float64 {
	if crown <= 0 {
		return 0
	}
	return -crown * math.Log(CrownPorosity(foliage, crown)) / k
}

// ZenithClumping is Omega(0) = (1-Phi) ln(1-f_f) / (ln(Phi) f_f): the effective
// plant area index over the plant area index, 1 for leaves strewn at random and
// less the more they are gathered into crowns. NaN where there is no leaf, or no
// gap within the crowns. (Pekin and Macfarlane 2009, Remote Sens. 1:1298-1320.)
func ZenithClumping(foliage, crown float64) float64 {
	phi := CrownPorosity(foliage, crown)
	if !(phi > 0) || foliage <= 0 {
		return math.NaN()
	}
	if foliage == crown && phi == 1 {
		return 1
	}
	return (1 - phi) * math.Log(1-foliage) / (math.Log(phi) * foliage)
}
