package metrics

import (
	"fmt"
	"math"
)

// FloorVisit is a tree's floor at one visit.
type FloorVisit struct {
	Share     Estimate // sunlit, as photographed, of the floor that was seen
	ZenithDeg float64  // of the sun
	AreaM2    float64  // of floor judged, over all photos
}

// Change is a quantity before and after, and the difference with its interval.
type Change struct {
	Before, After, Diff Estimate
	// Smallest is the least difference that would have been seen.
	Smallest float64
}

// Seen tells whether the interval of the difference leaves 0 out.
func (c Change) Seen() bool { return c.Diff.Low95 > 0 || c.Diff.High95 < 0 }

// NewChange is the change between two values whose errors correlate by shared, 0
// (independent) to 1 (one error in both).
func NewChange(before, after Estimate, shared float64) Change {
	b, a := before.SD(), after.SD()
	return changeWith(before, after, math.Sqrt(math.Max(0, b*b+a*a-2*shared*a*b)))
}

// ChangeBy is the change of a value by a difference that was measured itself.
func ChangeBy(before, diff Estimate) Change {
	v, sd := before.Value+diff.Value, math.Hypot(before.SD(), diff.SD())
	return Change{Before: before, After: Estimate{Value: v, Low95: v - Z95*sd, High95: v + Z95*sd}, Diff: diff, Smallest: claimable * diff.SD()}
}

// Widened is the change with its interval k times as wide.
func (c Change) Widened(k float64) Change {
	return changeWith(c.Before, c.After, k*c.Diff.SD())
}

func changeWith(before, after Estimate, sd float64) Change {
	d := after.Value - before.Value
	return Change{Before: before, After: after, Smallest: claimable * sd,
		Diff: Estimate{Value: d, Low95: d - Z95*sd, High95: d + Z95*sd}}
}

const (
	// lookAlike is how alike the light is on the square metres under one tree
	// (rho of the beta model, trade notes 5.1: .05 to .20).
	lookAlike = 0.10
	// lookM2: a photo counts as one look for each 2 m2 of floor, not as its
	// pixels; neighbouring looks are alike (common practice).
	lookM2 = 2.0
	// sameSpot of a look's own chance comes again when the same spot is
	// photographed once more: the board set down by eye within half a metre where
	// gaps are a metre across.
	sameSpot = 0.6
)

// SpotSD is by how much the floor of a spot may differ from the tree's whole
// floor by chance, for a share p seen over an area.
func SpotSD(p, areaM2 float64) float64 {
	looks := math.Max(1, areaM2/lookM2)
	p = math.Min(math.Max(p, shareFloor), 1-shareFloor)
	return math.Sqrt(p * (1 - p) * lookAlike / looks)
}

// FloorChange is the change of the sunlit share at ReferenceZenithDeg, and what
// it says of leaf removed.
type FloorChange struct {
	Share       Change
	LeafRemoved Estimate
	// LeafKnown is false where the floor is too dark or too open for the share of
	// leaf to be read from it, or the sun stood elsewhere.
	LeafKnown bool
	// SunMoved is set where the sun's heights lie so far apart that what it does to
	// all floors alike may be taken for a change, unless untouched trees tell.
	SunMoved bool
}

const (
	// sunAlikeDeg: within it the sun's height moves a floor's share by less than
	// its other errors (trade notes 3.4). lightMostDeg: past it the flecks come
	// through other parts of the canopy, and neighbours, and no normalising helps.
	sunAlikeDeg, lightMostDeg = 5.0, 15.0
	// lightSDPerDeg widens a change for each degree over sunAlikeDeg: a lower sun
	// comes in under the crown's side, which the gap fraction's law knows nothing
	// of. Set on the demo orchard's trees that were not pruned (13 degrees apart).
	lightSDPerDeg = 0.015
	// Floors darker or more open than these have no logarithm worth having.
	leafFloorLeast, leafFloorMost = 0.015, 0.60
)

// CompareFloors compares a tree's floor at two visits on normalised values. The
// interval speaks of the tree: the chance of the spot is in it. An *Unusable says
// that the light differed too much.
func CompareFloors(before, after FloorVisit) (FloorChange, error) {
	d := math.Abs(before.ZenithDeg - after.ZenithDeg)
	if d > lightMostDeg {
		return FloorChange{}, &Unusable{
			Reason: fmt.Sprintf("the sun stood %.0f degrees higher in one floor photo than in the other, %.0f allowed", d, lightMostDeg),
			Mend:   "take the second photo at the first one's time of day",
		}
	}
	b := NormaliseSunlitEstimate(before.Share, before.ZenithDeg, ReferenceZenithDeg)
	a := NormaliseSunlitEstimate(after.Share, after.ZenithDeg, ReferenceZenithDeg)
	chance := math.Sqrt(1-sameSpot) * math.Hypot(SpotSD(b.Value, before.AreaM2), SpotSD(a.Value, after.AreaM2))
	c := FloorChange{Share: changeWith(b, a, rss(b.SD(), a.SD(), chance, lightSDPerDeg*math.Max(0, d-sunAlikeDeg)))}
	c.SunMoved = d > sunAlikeDeg
	if !c.SunMoved { // the logarithms' ratio holds for one height of the sun
		c.LeafRemoved, c.LeafKnown = leafByFloor(c.Share)
	}
	return c, nil
}

// leafByFloor is r = 1 - ln P_after / ln P_before, its error from the two
// shares' (d ln(-ln P) = dP / (P ln P)).
func leafByFloor(c Change) (Estimate, bool) {
	for _, p := range [2]float64{c.Before.Value, c.After.Value} {
		if p < leafFloorLeast || p > leafFloorMost {
			return Estimate{}, false
		}
	}
	sd := (c.Diff.High95 - c.Diff.Low95) / (2 * Z95) / math.Sqrt2
	slope := func(p float64) float64 { return 1 / (p * math.Abs(math.Log(p))) }
	kept := math.Log(c.After.Value) / math.Log(c.Before.Value)
	return keptToRemoved(math.Log(kept), math.Hypot(sd*slope(c.Before.Value), sd*slope(c.After.Value))), true
}

// keptToRemoved turns the logarithm of the leaf kept and its error into the
// share removed.
func keptToRemoved(logKept, sd float64) Estimate {
	at := func(l float64) float64 { return 1 - math.Exp(l) }
	return Estimate{Value: at(logKept), Low95: at(logKept + Z95*sd), High95: at(logKept - Z95*sd)}
}

// LeafRemoved brings what the floor and the side say together, weighted by their
// errors on the scale of ln(leaf kept); where they differ by more than their
// errors explain, the interval spans it (Birge's factor).
func LeafRemoved(es ...Estimate) (Estimate, bool) {
	var sw, swy float64
	var y, w []float64
	for _, e := range es {
		kept := func(v float64) float64 { return math.Log(math.Max(1-v, leastKept)) }
		sd := (kept(e.Low95) - kept(e.High95)) / (2 * Z95)
		if !(sd > 0) {
			continue
		}
		y, w = append(y, kept(e.Value)), append(w, 1/(sd*sd))
		sw, swy = sw+1/(sd*sd), swy+kept(e.Value)/(sd*sd)
	}
	if sw == 0 {
		return Estimate{}, false
	}
	var chi2 float64
	for i := range y {
		chi2 += w[i] * (y[i] - swy/sw) * (y[i] - swy/sw)
	}
	birge := math.Sqrt(math.Max(1, chi2/math.Max(1, float64(len(y)-1))))
	return keptToRemoved(swy/sw, birge/math.Sqrt(sw)), true
}

// leastKept keeps the logarithm of the leaf kept finite.
const leastKept = 0.01
