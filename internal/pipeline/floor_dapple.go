package pipeline

import (
	"fmt"
	"math"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

const (
	// segmentM is about ten leaf widths of the crop, over which the leaves that
	// shade two segments are different ones (trade notes 1.3).
	segmentM = 1.0
	// segmentLeastM2 of a segment must be judged for it to count.
	segmentLeastM2 = 0.5 * segmentM * segmentM
	// leastSegments make a spread.
	leastSegments = 3
)

// segmentsAcross is how many squares of segmentM the ring's box holds a side.
func (f *floorScene) segmentsAcross() int { return 2 * int(math.Ceil(f.radiusM/segmentM)) }

// segmentOf numbers the square in which a point of the ground within the ring lies, by
// its metres from the board's centre in the board's own directions.
func (f *floorScene) segmentOf(rightM, downM float64) int32 {
	n := f.segmentsAcross()
	i, j := int(math.Floor(rightM/segmentM))+n/2, int(math.Floor(downM/segmentM))+n/2
	return int32(j*n + i)
}

// segments are the sunlit shares of the floor's squares.
func (f *floorScene) segments() []float64 {
	type sum struct{ sun, area float64 }
	cells := make([]sum, f.segmentsAcross()*f.segmentsAcross())
	floor, fraction, square := f.view.Floor.In, f.view.Fraction.V, f.ground.Square
	for i, area := range f.ground.AreaM2 {
		if area == 0 || !floor[i] {
			continue
		}
		c := &cells[square[i]]
		c.sun += float64(area) * float64(fraction[i])
		c.area += float64(area)
	}
	var out []float64
	for _, c := range cells {
		if c.area >= segmentLeastM2 {
			out = append(out, max(0, min(1, c.sun/c.area)))
		}
	}
	return out
}

// dapple is the evenness of the sun over the floor, each number moved by what the
// sunlit share's own interval allows.
func (f *floorScene) dapple(e metrics.Estimate) []orchard.Measurement {
	why := ""
	var shares []float64
	switch {
	case !f.view.TwoLights:
		why = "sun and shade do not both show on this floor"
	default:
		if shares = f.segments(); len(shares) < leastSegments {
			why = fmt.Sprintf("%d square metres of floor show whole, %d needed", len(shares), leastSegments)
		}
	}
	if why != "" {
		return []orchard.Measurement{missing(orchard.FloorClumping, "1", why), missing(orchard.DarkFloorShare, "1", why)}
	}
	zenith := 0.0
	if f.shot.Sun != nil {
		zenith = 90 - f.shot.Sun.ElevationDeg
	}
	mid := metrics.DappleOf(shares, zenith)
	low := metrics.DappleOf(scaledTo(shares, e.Value, e.Low95), zenith)
	high := metrics.DappleOf(scaledTo(shares, e.Value, e.High95), zenith)
	dark := measured(orchard.DarkFloorShare, "1", span(mid.DarkShare, low.DarkShare, high.DarkShare))
	if math.IsNaN(mid.Clumping) {
		return []orchard.Measurement{missing(orchard.FloorClumping, "1", "the floor is all of one light"), dark}
	}
	clump := measured(orchard.FloorClumping, "1", span(mid.Clumping, low.Clumping, high.Clumping))
	if mid.Floored > 0 {
		clump.Flags = append(clump.Flags, fmt.Sprintf("%d of %d square metres are darker than the densest canopy leaves them, counted as that", mid.Floored, mid.Segments))
	}
	return []orchard.Measurement{clump, dark}
}

// scaledTo moves shares as their mean moves from one value to another.
func scaledTo(shares []float64, from, to float64) []float64 {
	out := slices.Clone(shares)
	if from <= 0 {
		return out
	}
	for i := range out {
		out[i] = min(1, out[i]*to/from)
	}
	return out
}

// span is an estimate from values at three places; those that are no number say
// nothing.
func span(v float64, others ...float64) metrics.Estimate {
	e := metrics.Estimate{Value: v, Low95: v, High95: v}
	for _, o := range others {
		if !math.IsNaN(o) {
			e.Low95, e.High95 = math.Min(e.Low95, o), math.Max(e.High95, o)
		}
	}
	return e
}

// measureAlleyFloor measures the sunlit share of the alley's own floor. It is not
// brought to another sun: low light enters an alley from the side, for which a
// closed canopy's rule does not hold.
func measureAlleyFloor(s Shot) (ShotResult, error) {
	res, err := measureFloor(s)
	if err != nil {
		return res, err
	}
	var kept []orchard.Measurement
	for _, m := range res.Measurements {
		if m.Quantity == orchard.SunlitFraction {
			m.Quantity = orchard.AlleySunlit
			kept = append(kept, m)
		}
	}
	res.Measurements = kept
	return res, nil
}
