package metrics

import "math"

// Canopy volumes and surfaces, by the formulas of the trade sheet (6.6). Lengths
// are metres; per hectare means per hectare of orchard. What has no length above
// 0 where one is needed gives NaN.

// m2PerHa is a hectare.
const m2PerHa = 10000.0

// darkDepthM is how deep in a crown leaves are too dark to bear (common
// practice: fruit comes from the outer metre).
const darkDepthM = 1.0

// TreeRowVolumeM3Ha is height times width of the canopy across the row, over the
// distance of rows: what spray volumes are set by.
func TreeRowVolumeM3Ha(heightM, widthM, rowM float64) float64 {
	return perRow(heightM*widthM, rowM)
}

// LeafWallAreaM2Ha is both faces of the rows, from the skirts to the top.
func LeafWallAreaM2Ha(heightM, skirtM, rowM float64) float64 {
	return perRow(2*math.Max(0, heightM-skirtM), rowM)
}

func perRow(perMetre, rowM float64) float64 {
	if !(rowM > 0) {
		return math.NaN()
	}
	return perMetre * m2PerHa / rowM
}

// Hedge is a row's cross-section: a trapezoid from the skirts to the top.
type Hedge struct{ HeightM, SkirtM, BottomM, TopM float64 }

// SlantM is the length of a face in the cross-section.
func (h Hedge) SlantM() float64 {
	return math.Hypot(h.HeightM-h.SkirtM, (h.BottomM-h.TopM)/2)
}

// FaceAngleDeg is how far the faces lean in from the vertical; negative where
// they lean out.
func (h Hedge) FaceAngleDeg() float64 {
	return math.Atan2((h.BottomM-h.TopM)/2, h.HeightM-h.SkirtM) * 180 / math.Pi
}

// ExposedM2Ha is the surface of faces and top.
func (h Hedge) ExposedM2Ha(rowM float64) float64 { return perRow(2*h.SlantM()+h.TopM, rowM) }

// VolumeM3Ha is the volume within the cross-section.
func (h Hedge) VolumeM3Ha(rowM float64) float64 {
	return perRow((h.BottomM+h.TopM)/2*(h.HeightM-h.SkirtM), rowM)
}

// DarkCoreCrown is the share of an ellipsoid's volume that lies deeper than
// darkDepthM, by semi-axes: 0 where one of them is shorter.
func DarkCoreCrown(aM, bM, cM float64) float64 {
	if !(aM > 0 && bM > 0 && cM > 0) {
		return math.NaN()
	}
	inner := math.Max(0, aM-darkDepthM) * math.Max(0, bM-darkDepthM) * math.Max(0, cM-darkDepthM)
	return inner / (aM * bM * cM)
}

// DarkCoreHedge is the same of a hedge down to the ground.
func DarkCoreHedge(widthM, heightM float64) float64 {
	if !(widthM > 0 && heightM > 0) {
		return math.NaN()
	}
	return math.Max(0, widthM-2*darkDepthM) * math.Max(0, heightM-darkDepthM) / (widthM * heightM)
}

// EllipsoidM3 is the volume of an ellipsoid between two heights over its middle,
// semi-axes a, b across and c up.
func EllipsoidM3(aM, bM, cM, lowM, highM float64) float64 {
	lowM, highM = math.Max(lowM, -cM), math.Min(highM, cM)
	if !(highM > lowM) {
		return 0
	}
	cube := func(v float64) float64 { return v * v * v }
	return math.Pi * aM * bM * ((highM - lowM) - (cube(highM)-cube(lowM))/(3*cM*cM))
}
