package metrics

import (
	"fmt"
	"math"

	"rowlight/calibrate"
)

const (
	// SphericalX is the axis ratio of leaves that face all ways alike, the
	// default: no measured leaf angles of avocado have been published.
	SphericalX = 1.0
	// FlatX is the other end of the range we allow for, leaves 39 degrees from
	// level on average. Between the two the normalised share of a low sun moves
	// by several points, so the interval carries it.
	FlatX = 2.0
	// ReferenceZenithDeg is the solar zenith that sunlit shares are normalised
	// to: a proposal of ours, near the high sun that the 20 % target is meant for.
	ReferenceZenithDeg = 20.0
	// noteworthyShiftDeg: within 5 degrees of zenith two readings compare as
	// they are (the trade's before-and-after rule); beyond it the reader is told.
	noteworthyShiftDeg = 5.0

	radiansPerDegree = math.Pi / 180
)

// CampbellG returns the mean projection, on a plane across the beam, of a unit
// of leaf area whose angles are ellipsoidal with the axis ratio x (horizontal
// over vertical; 1 spherical, above 1 flatter leaves), at a zenith in radians,
// 0 to below pi/2. The closed form is exact, not the 1986 fit:
//
//	G = cos(zenith) sqrt(x^2 + tan^2(zenith)) / Lambda(x)
//
// Source: Campbell 1986, Agric. For. Meteorol. 36:317-321, and 1990,
// 49:173-176. NaN for x <= 0 or a zenith out of range.
func CampbellG(x, zenithRad float64) float64 {
	if !(x > 0) || !(zenithRad >= 0 && zenithRad < math.Pi/2) {
		return math.NaN()
	}
	return math.Hypot(x*math.Cos(zenithRad), math.Sin(zenithRad)) / campbellLambda(x)
}

// sphereTolerance: within it of x = 1 the closed form divides nought by nought.
const sphereTolerance = 1e-6

func campbellLambda(x float64) float64 {
	switch {
	case math.Abs(x-1) < sphereTolerance:
		return 2
	case x < 1:
		e := math.Sqrt(1 - x*x)
		return x + math.Asin(e)/e
	default:
		e := math.Sqrt(1 - 1/(x*x))
		return x + math.Log((1+e)/(1-e))/(2*e*x)
	}
}

// extinction is K = G / cos(zenith).
func extinction(zenithDeg, x float64) float64 {
	z := zenithDeg * radiansPerDegree
	return CampbellG(x, z) / math.Cos(z)
}

// GapFraction returns the share of beams from a zenith (degrees) that miss every
// leaf of a canopy with an effective plant area index (leaf and wood area per
// ground area, clumping included), P = exp(-K PAIe). Source: Monsi and Saeki
// 1953; Nilson 1971, Agric. Meteorol. 8:25-38. Bare ground gives 1.
func GapFraction(effectivePAI, zenithDeg, x float64) float64 {
	return math.Exp(-extinction(zenithDeg, x) * effectivePAI)
}

// EffectivePAI inverts GapFraction. A share of 0 gives +Inf (the canopy is at
// least as dense as the photo could show), 1 gives 0.
func EffectivePAI(p, zenithDeg, x float64) float64 {
	if p >= 1 {
		return 0
	}
	return -math.Log(p) / extinction(zenithDeg, x)
}

// NormaliseSunlit turns the sunlit share p (0..1) of the floor under a closed
// canopy, seen under a sun at one zenith, into what the same canopy would show
// at another: ln P' = ln P K(to)/K(from). Shares of 0 and 1 stay. Zeniths in
// degrees, 0 to below 90; NaN outside. It holds under the trees of a closed
// row, not at the edge of an alley, where a low sun enters from the side.
func NormaliseSunlit(p, fromZenithDeg, toZenithDeg, x float64) float64 {
	k := extinction(toZenithDeg, x) / extinction(fromZenithDeg, x)
	if math.IsNaN(k) {
		return k
	}
	if p <= 0 || p >= 1 {
		return p
	}
	return math.Pow(p, k)
}

// NormaliseSunlitEstimate does the same for an estimate: the value for
// spherical leaves, the interval widened by what leaves as flat as FlatX would
// give. On the scale ln(-ln p) the change of zenith is a plain shift, so the
// photo's error and the leaf angle's add there in quadrature, the latter on the
// side it pulls to.
func NormaliseSunlitEstimate(e Estimate, fromZenithDeg, toZenithDeg float64) Estimate {
	at := func(p, x float64) float64 { return NormaliseSunlit(p, fromZenithDeg, toZenithDeg, x) }
	out := Estimate{
		Value: at(e.Value, SphericalX),
		Low95: at(e.Low95, SphericalX), High95: at(e.High95, SphericalX),
		Flags: append([]string(nil), e.Flags...),
	}
	if math.Abs(fromZenithDeg-toZenithDeg) > noteworthyShiftDeg {
		out.Flags = append(out.Flags, fmt.Sprintf(
			"sun %.0f deg from overhead when photographed, share recalculated for %.0f deg", fromZenithDeg, toZenithDeg))
	}
	out.Parts = normalisedParts(e, out, at(e.Value, FlatX))
	if e.Value <= 0 || e.Value >= 1 {
		out.Low95 = math.Min(out.Low95, at(e.Low95, FlatX))
		out.High95 = math.Max(out.High95, at(e.High95, FlatX))
		return out
	}
	pull := cloglog(at(e.Value, FlatX)) - cloglog(out.Value)
	switch {
	case pull > 0: // a larger cloglog is a darker floor
		out.Low95 = spread(out.Value, out.Low95, pull)
	case pull < 0:
		out.High95 = spread(out.Value, out.High95, pull)
	}
	return out
}

func cloglog(p float64) float64 { return math.Log(-math.Log(p)) }

// spread moves one end of an interval out by pull, in quadrature.
func spread(value, end, pull float64) float64 {
	if end <= 0 || end >= 1 {
		return end
	}
	c := cloglog(value)
	d := math.Copysign(math.Hypot(cloglog(end)-c, pull), pull)
	return math.Exp(-math.Exp(c + d))
}

// normalisedParts are a share's parts at the other zenith: the photo's, stretched as
// its interval is, and the leaf angle's pull, which is on one side.
func normalisedParts(e, at Estimate, flat float64) []calibrate.Part {
	width := e.High95 - e.Low95
	if len(e.Parts) == 0 || width <= 0 {
		return nil
	}
	k := (at.High95 - at.Low95) / width
	var own []calibrate.Part
	for _, p := range e.Parts {
		own = append(own, calibrate.Part{Name: p.Name, SD: k * p.SD})
	}
	return calibrate.Joined(own, []calibrate.Part{{Name: PartLeafAngle, SD: math.Abs(flat-at.Value) / Z95}})
}
