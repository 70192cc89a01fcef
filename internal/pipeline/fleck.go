package pipeline

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// ownFleckM: a shade that lies less than this off falls, for the most part, on the
// floor within the ring of 1.5 m that a photo at the trunk shows.
const ownFleckM = 0.75

// shadeShift says how far and which way a tree's shade lay from under it when its
// floor was photographed, from the middle of its crown and the sun of its first
// usable floor photo. ok is false where the crown or the sun is not known.
func shadeShift(t *orchard.TreeResult, photos []*orchard.Record) (orchard.Measurement, bool) {
	height, base := t.Find(orchard.HeightM), t.Find(orchard.CrownBaseM)
	if height == nil || height.Value == nil || base == nil || base.Value == nil {
		return orchard.Measurement{}, false
	}
	for _, rec := range photos {
		up, bearing := rec.Find(orchard.SunElevationDeg), rec.Find(orchard.SunAzimuthDeg)
		if rec.Kind != orchard.Floor || rec.Status != orchard.Measured || up == nil || up.Value == nil || bearing == nil || bearing.Value == nil {
			continue
		}
		zenith := 90 - *up.Value
		at := func(h, b float64) float64 { return metrics.ShadeShiftM((h+b)/2, zenith) }
		v := at(*height.Value, *base.Value)
		d := math.Hypot(at(*height.High95, *base.Value)-at(*height.Low95, *base.Value), at(*height.Value, *base.High95)-at(*height.Value, *base.Low95)) / 2
		m := measured(orchard.ShadeShiftM, "m", metrics.Estimate{Value: v, Low95: math.Max(0, v-d), High95: v + d})
		m.Method, m.Photos = "crown's middle height and the sun", []string{rec.Path}
		if v > ownFleckM {
			m.Flags = []string{fmt.Sprintf("its shade fell %.1f m to the %s: lay the board that far from the trunk on that side, or come when the sun is higher",
				v, orchard.Compass(*bearing.Value+180))}
		}
		return m, true
	}
	return orchard.Measurement{}, false
}
