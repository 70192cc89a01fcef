package metrics

import "math"

// Exposure is how a photo was exposed, by its EXIF.
type Exposure struct {
	TimeSec, FNumber, ISO float64
}

// IlluminanceLux is the light that falls on a grey patch of reflectance 0.18 which came
// out at level (linear light, 0..1; 0.18 where the camera exposes for it), in lux. ISO
// 12232 sets a camera's index S by the exposure that gives sRGB 118, level 0.18:
// 10/S lux seconds at the sensor, which a lens at f-number N gets from 10 N^2/(0.65 S t)
// cd/m2 (0.65 for common lenses; both from memory). A camera's index, its lens and what
// it does to a picture afterwards leave about one stop, a factor of two, either way.
// 0 where the exposure is not known.
func (e Exposure) IlluminanceLux(level float64) float64 {
	const (
		grey       = 0.18
		middle     = 0.18
		lensFactor = 0.65
		sensorLux  = 10.0
	)
	if !(e.TimeSec > 0 && e.FNumber > 0 && e.ISO > 0) {
		return 0
	}
	luminance := sensorLux * e.FNumber * e.FNumber / (lensFactor * e.ISO * e.TimeSec)
	return luminance * level / middle * math.Pi / grey
}

// ClearIlluminanceLux is what a clear sky and its sun give level ground, lux, and
// OvercastIlluminanceLux what a closed cover of cloud gives, at the sun's elevation: the
// formulas of the Illuminating Engineering Society's daylight practice (RP-21), from
// memory: direct 127.5 exp(-0.21/sin) sin and sky 0.8 + 15.5 sin^0.5, overcast
// 0.3 + 21 sin, all in kilolux.
func ClearIlluminanceLux(elevationDeg float64) float64 {
	s := math.Sin(elevationDeg * math.Pi / 180)
	if s <= 0 {
		return 0
	}
	return 1000 * (127.5*math.Exp(-0.21/s)*s + 0.8 + 15.5*math.Sqrt(s))
}

// OvercastIlluminanceLux is explained at ClearIlluminanceLux.
func OvercastIlluminanceLux(elevationDeg float64) float64 {
	s := math.Sin(elevationDeg * math.Pi / 180)
	if s <= 0 {
		return 0
	}
	return 1000 * (0.3 + 21*s)
}
