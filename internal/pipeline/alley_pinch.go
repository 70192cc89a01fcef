package pipeline

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// pinchMostM: the narrowest place is named where its 95 % interval is no longer than
// this from end to end. Trees stand 3 to 6 m apart in the row (common practice): within
// 1.5 m to either side whoever is sent there finds the one tree that reaches in.
const pinchMostM = 3.0

// addPinch adds where the alley is narrowest, or within which stretch that lies.
func (r *alleyResult) addPinch(at metrics.Estimate, method string) {
	if at.High95-at.Low95 <= pinchMostM {
		r.add(orchard.NarrowestAtM, nil, at, method)
		return
	}
	r.out.Measurements = append(r.out.Measurements, orchard.Measurement{
		Quantity: orchard.NarrowestAtM, Unit: "m", Method: method, Absent: stretch(at, r.scale),
	})
}

// stretch says between where and where a narrowest place that is not known closely
// lies, in whole metres from the camera.
func stretch(at metrics.Estimate, scale float64) string {
	from, to := math.Floor(at.Low95*scale), math.Ceil(at.High95*scale)
	return fmt.Sprintf("the narrowest place lies somewhere from %.0f to %.0f m ahead of the camera, no closer can be told: walk that stretch and measure its tightest place by tape", from, to)
}
