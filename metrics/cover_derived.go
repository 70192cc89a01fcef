package metrics

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// UpFieldDeg is the half angle of the field that is judged in a photo taken
// straight up: cover formulas hold near the zenith, for a field of about 30
// degrees across (Macfarlane et al. 2007; common practice since).
const UpFieldDeg = 15.0

// upMeanZenithDeg is the zenith angle that halves the field's area: 15/sqrt(2).
const upMeanZenithDeg = UpFieldDeg / math.Sqrt2

// Porosity is the crown porosity, 0..1, with its interval; ok is false where no
// crown stands in the field.
func (s SkyShares) Porosity() (Estimate, bool) {
	f, c := 1-s.Mid, 1-s.large(largeGapShare)
	phi := CrownPorosity(f, c)
	if math.IsNaN(phi) {
		return Estimate{}, false
	}
	// Gaps within the crowns are gT - gL over f_c: the cut moves all gaps, the
	// limit moves gaps from one class to the other.
	limits := (s.large(largeGapShare/2) - s.large(2*largeGapShare)) / (2 * cutSDs)
	se := math.Hypot(s.skySE(), limits) / c
	return FromShare(phi, se, coverLeast), true
}

// EffectivePAI is -ln(1 - f_f)/k with k = G at the field's mean zenith over its
// cosine, for leaves that face all ways alike; the interval runs out to leaves as
// flat as FlatX, which would give less. ok is false where no sky shows: there is
// only the bound that the interval's low end of the sky gives.
func (s SkyShares) EffectivePAI() (Estimate, bool) {
	if s.Mid <= 0 {
		return Estimate{}, false
	}
	sky := s.Sky()
	at := func(p, x float64) float64 { return EffectivePAI(p, upMeanZenithDeg, x) }
	e := Estimate{Value: at(sky.Value, SphericalX), Low95: at(sky.High95, SphericalX), High95: at(sky.Low95, SphericalX)}
	flat := at(sky.Value, FlatX)
	e.Low95 = math.Max(0, e.Value-math.Hypot(e.Value-e.Low95, e.Value-flat))
	return e, true
}

// PAI is the plant area index, clumping between crowns taken out. ok is false
// where no gap shows within the crowns, or no crown.
func (s SkyShares) PAI() (Estimate, bool) {
	phi, ok := s.Porosity()
	f, c := 1-s.Mid, 1-s.large(largeGapShare)
	if !ok || phi.Value <= 0 || f <= 0 {
		return Estimate{}, false
	}
	k := func(x float64) float64 { return extinction(upMeanZenithDeg, x) }
	at := func(p, x float64) float64 { return -c * math.Log(p) / k(x) }
	e := Estimate{Value: CoverPAI(f, c, k(SphericalX)), Low95: at(phi.High95, SphericalX), High95: at(phi.Low95, SphericalX)}
	e.Low95 = math.Max(0, e.Value-math.Hypot(e.Value-e.Low95, e.Value-at(phi.Value, FlatX)))
	return e, true
}

// Clumping is the clumping index at the zenith; ok as for PAI. The effective and
// the whole plant area index share their errors, so the interval is found by
// moving the cut and the limit, not from theirs.
func (s SkyShares) Clumping() (Estimate, bool) {
	f, c := 1-s.Mid, 1-s.large(largeGapShare)
	v := ZenithClumping(f, c)
	if math.IsNaN(v) {
		return Estimate{}, false
	}
	moved := func(sky, limit float64) float64 {
		large := s.large(limit)
		o := ZenithClumping(1-sky, math.Min(1-large, 1))
		if math.IsNaN(o) {
			return v
		}
		return o
	}
	d := Z95 * math.Hypot(
		(moved(s.Low, largeGapShare)-moved(s.High, largeGapShare))/(2*cutSDs),
		(moved(s.Mid, largeGapShare/2)-moved(s.Mid, 2*largeGapShare))/(2*cutSDs),
	)
	return Estimate{Value: v, Low95: math.Max(0, v-d), High95: math.Min(v+d, 1)}, true
}

// ExpectedSunlit is the sunlit share of the floor that the sky seen leads one to
// expect under a sun at the reference zenith, 0..1 (trade notes: sun flecks and
// photos of the sky are two ways to the same P). To the errors of the cut and of
// the leaf angle comes the canopy's unevenness, for the sun crosses other parts of
// it than the lens looks at: the spread between the field's quarters, as four
// looks with Student's t.
func (s SkyShares) ExpectedSunlit() Estimate {
	se := s.skySE()
	if n := len(s.Quarters); n > 1 {
		t := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}.Quantile(0.975)
		se = math.Hypot(se, stat.StdDev(s.Quarters, nil)/math.Sqrt(float64(n))*t/Z95)
	}
	e := NormaliseSunlitEstimate(FromShare(s.Mid, se, coverLeast), upMeanZenithDeg, ReferenceZenithDeg)
	e.Flags = []string{"expected from the sky seen straight up, not from sun on the floor"}
	return e
}
