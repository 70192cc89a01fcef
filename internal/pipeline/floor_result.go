package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
)

const (
	// contrastRelSD: the camera's tone curve bends the ratio of sun to shade,
	// which is decoded as if it had none, by a third either way.
	contrastRelSD = 0.33
	// sunElevationSDDeg: the solar position is good to 0.001 degrees, a phone's
	// clock to seconds, its place to metres; a clock set by hand to a minute or
	// two, which is half a degree at most.
	sunElevationSDDeg = 0.25
)

// share judges whether there are two lights on the floor, and if so their share.
func (f *floorScene) share(s metrics.FloorShares) (metrics.Estimate, error) {
	if !f.view.TwoLights {
		return metrics.OneLight{
			GreySeen: f.view.Board.Seen, GreyRedToBlue: f.view.Board.RedToBlue, Contrast: f.view.Contrast,
			Patchy: f.view.Patchy, BoardRange: f.view.Board.Range, OfClear: f.ofClear(),
		}.Share()
	}
	return metrics.FloorShare(s, metrics.FloorLight{
		Contrast: f.view.Contrast, ToneSD: f.view.ToneSD, DarkShare: f.view.Dark,
		BoardM2: calibrate.SheetWidthMM * calibrate.SheetHeightMM / mmPerM / mmPerM * f.scale * f.scale,
	}), nil
}

// ofClear is the light on the board's grey patch over a clear sky's and sun's at that
// hour; 0 where the file does not tell exposure and hour.
func (f *floorScene) ofClear() float64 {
	m := f.shot.Photo.Meta
	if f.shot.Sun == nil || f.shot.Sun.ElevationDeg < metrics.SunLeastDeg || m.ExposureSec == nil || m.FNumber == nil || m.ISO == nil {
		return 0
	}
	e := metrics.Exposure{TimeSec: *m.ExposureSec, FNumber: *m.FNumber, ISO: *m.ISO}
	return e.IlluminanceLux(f.view.Board.Level) / metrics.ClearIlluminanceLux(f.shot.Sun.ElevationDeg)
}

func (f *floorScene) result(s metrics.FloorShares, e metrics.Estimate) (ShotResult, error) {
	var out ShotResult
	add := func(m orchard.Measurement) { out.Measurements = append(out.Measurements, m) }
	add(measured(orchard.SunlitFraction, "1", e))
	add(f.atReference(e))
	add(f.binary(s, e))
	add(f.contrast())
	add(measured(orchard.FloorAreaM2, "m2", f.area(s.AreaM2)))
	add(f.elevation())
	add(f.azimuth())
	out.Measurements = append(out.Measurements, f.dapple(e)...)
	if f.shot.Sun == nil {
		out.Flags = append(out.Flags, fmt.Sprintf("the sun's height is not known: it must be %.0f degrees or more for this share to count", metrics.SunLeastDeg))
	}
	if !f.shot.NumbersOnly {
		out.Overlay = f.draw(e, s)
	}
	return out, nil
}

// measured wraps an estimate.
func measured(q orchard.Quantity, unit string, e metrics.Estimate) orchard.Measurement {
	v, lo, hi := e.Value, e.Low95, e.High95
	return orchard.Measurement{Quantity: q, Unit: unit, Value: &v, Low95: &lo, High95: &hi, Method: "photo", Flags: e.Flags, Parts: errorParts(e.Parts)}
}

func missing(q orchard.Quantity, unit, why string) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Unit: unit, Absent: why}
}

// atReference is the share under a sun at the reference zenith.
func (f *floorScene) atReference(e metrics.Estimate) orchard.Measurement {
	if f.shot.Sun == nil {
		return missing(orchard.SunlitFractionRef, "1", "the sun's height is not known: the photo needs its capture time and place")
	}
	zenith := 90 - f.shot.Sun.ElevationDeg
	return measured(orchard.SunlitFractionRef, "1", metrics.NormaliseSunlitEstimate(e, zenith, metrics.ReferenceZenithDeg))
}

// binary is the plain thresholded share, a check on the other: its interval is
// the other's shifted to it, for the levels they rest on are the same.
func (f *floorScene) binary(s metrics.FloorShares, e metrics.Estimate) orchard.Measurement {
	if !f.view.TwoLights {
		return measured(orchard.SunlitFractionBinary, "1", metrics.Estimate{Value: e.Value, Low95: e.Low95, High95: e.High95})
	}
	clamp := func(v float64) float64 { return math.Max(0, math.Min(1, v)) }
	d := s.Binary - e.Value
	return measured(orchard.SunlitFractionBinary, "1", metrics.Estimate{Value: s.Binary, Low95: clamp(e.Low95 + d), High95: clamp(e.High95 + d)})
}

func (f *floorScene) contrast() orchard.Measurement {
	if !f.view.TwoLights {
		return missing(orchard.FloorContrast, "1", "sun and shade do not both show on this floor")
	}
	d := math.Exp(metrics.Z95 * contrastRelSD)
	c := f.view.Contrast
	return measured(orchard.FloorContrast, "1", metrics.Estimate{Value: c, Low95: math.Max(1, c/d), High95: c * d})
}

// area carries the pose's error: the area a pixel shows at the board.
func (f *floorScene) area(m2 float64) metrics.Estimate {
	centre, _ := f.pose.Project(calibrate.SheetCentre())
	l := f.pose.Propagate(func(b *calibrate.BoardPose) float64 {
		return b.FlatGround().AreaPerPixelM2(b.Camera, centre)
	})
	rel := 0.0
	if l.M > 0 {
		rel = l.SDM / l.M
	}
	return metrics.FromLength(calibrate.Length{M: m2, SDM: m2 * rel})
}

func (f *floorScene) azimuth() orchard.Measurement {
	if f.shot.Sun == nil {
		return missing(orchard.SunAzimuthDeg, "deg", "the photo needs its capture time and place")
	}
	// The bearing runs faster than the height by the zenith's sine.
	v, d := f.shot.Sun.AzimuthDeg, metrics.Z95*sunElevationSDDeg/math.Max(math.Cos(f.shot.Sun.ElevationDeg*math.Pi/180), 0.05)
	m := measured(orchard.SunAzimuthDeg, "deg", metrics.Estimate{Value: v, Low95: v - d, High95: v + d})
	m.Method = "time and place"
	return m
}

func (f *floorScene) elevation() orchard.Measurement {
	if f.shot.Sun == nil {
		return missing(orchard.SunElevationDeg, "deg", "the photo needs its capture time and place")
	}
	v, d := f.shot.Sun.ElevationDeg, metrics.Z95*sunElevationSDDeg
	m := measured(orchard.SunElevationDeg, "deg", metrics.Estimate{Value: v, Low95: v - d, High95: v + d})
	m.Method = "time and place"
	return m
}
