package metrics

import "math"

// A crown has depth: what hangs toward the camera shows too high above the
// level line and too low below it. The crown is taken as a body of revolution
// about the trunk; its widest circles that still fit into the outline as seen
// (its visual hull) bound where the top can lie:
//
//   - lowest, when the crown ends flat and the near rim makes the skyline;
//   - highest, as drawn on the row's plane, when it ends in a point over the trunk.
//
// A circle of radius r at height z shows its near points at
// h + (z-h) D/(D - r sin a), x = r cos a D/(D - r sin a), h and D the camera's
// height and distance.
const (
	hullStepM  = 0.02
	hullAngles = 24
	// topShare places the top between the lowest (0) and the highest (1) reading.
	// Half an ellipsoid lies at 0.6 to 0.8, a flat top with leaves spread evenly
	// over it at 0.1 to 0.3 (calculated): half-way between, with a spread that
	// covers both.
	topShare, topShareSD = 0.40, 0.35
	mostRadiusM          = 6.0
)

// topOfCrown turns the top as drawn on the row's plane into the top of the
// foliage: its value and one standard deviation from the crown's unknown depth.
// halfM[k] is the half width as drawn at height k*hullStepM, negative for none.
func topOfCrown(halfM []float64, drawnTopM, cameraHeightM, distanceM float64) (m, sdM float64) {
	if drawnTopM <= cameraHeightM || distanceM <= 0 {
		return drawnTopM, 0
	}
	lowest := drawnTopM
	for k := len(halfM) - 1; k >= 0; k-- {
		z := float64(k) * hullStepM
		if z <= cameraHeightM || z > drawnTopM {
			continue
		}
		r := hullRadius(halfM, z, cameraHeightM, distanceM)
		if cameraHeightM+(z-cameraHeightM)*distanceM/(distanceM-r) >= drawnTopM-1.5*hullStepM {
			lowest = z
		}
	}
	span := drawnTopM - lowest
	return lowest + topShare*span, topShareSD * span
}

// hullRadius is the widest circle at height z whose drawn near half lies within
// the outline, by halving.
func hullRadius(halfM []float64, z, h, d float64) float64 {
	lo, hi := 0.0, math.Min(mostRadiusM, 0.9*d)
	for range 16 {
		r := (lo + hi) / 2
		if circleFits(halfM, z, r, h, d) {
			lo = r
		} else {
			hi = r
		}
	}
	return lo
}

func circleFits(halfM []float64, z, r, h, d float64) bool {
	for a := range hullAngles + 1 {
		s, c := math.Sincos(float64(a) / hullAngles * math.Pi / 2)
		k := d / (d - r*s)
		row := int(math.Round((h + (z-h)*k) / hullStepM))
		if row < 0 || row >= len(halfM) || r*c*k > halfM[row] {
			return false
		}
	}
	return true
}

// silhouetteRadius turns half a width as drawn on the row's plane into the
// radius of a round crown: r = D sin(atan(x/D)) (trade sheet 4.3: a crown of
// radius 2.5 m at 8 m shows 5.27 % too wide).
func silhouetteRadius(drawnM, distanceM float64) float64 {
	if distanceM <= 0 {
		return drawnM
	}
	return drawnM / math.Hypot(1, drawnM/distanceM)
}
