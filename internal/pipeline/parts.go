package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// errorParts are a number's parts as the record keeps them; rounded to four places,
// a tenth of a millimetre or a hundredth of a point.
func errorParts(ps []calibrate.Part) []orchard.ErrorPart {
	const places = 1e4
	var out []orchard.ErrorPart
	for _, p := range ps {
		if sd := math.Round(p.SD*places) / places; sd > 0 {
			out = append(out, orchard.ErrorPart{Name: p.Name, SD: sd})
		}
	}
	return out
}

// partCutOff is a part of what the picture's edge cuts off: it lies on one side only.
const partCutOff = "cut off by the picture"

// combinedParts are the parts of several photos' mean: each photo's, weighted alike,
// and what the photos differ beyond them, which is sampling.
func combinedParts(ms []orchard.Measurement, e metrics.Estimate) []orchard.ErrorPart {
	var all [][]calibrate.Part
	for _, m := range ms {
		if len(m.Parts) == 0 {
			return nil
		}
		var own []calibrate.Part
		for _, p := range m.Parts {
			own = append(own, calibrate.Part{Name: p.Name, SD: p.SD / float64(len(ms))})
		}
		all = append(all, own)
	}
	parts := calibrate.Joined(all...)
	left := e.SD() * e.SD()
	for _, p := range parts {
		left -= p.SD * p.SD
	}
	if left > 0 {
		parts = calibrate.Joined(parts, []calibrate.Part{{Name: metrics.PartSampling, SD: math.Sqrt(left)}})
	}
	return errorParts(parts)
}

// scaled are parts of a length in the print's scale, in true lengths.
func scaled(ps []calibrate.Part, scale float64) []orchard.ErrorPart {
	var out []calibrate.Part
	for _, p := range ps {
		out = append(out, calibrate.Part{Name: p.Name, SD: p.SD * scale})
	}
	return errorParts(out)
}
