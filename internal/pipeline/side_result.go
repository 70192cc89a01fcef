package pipeline

import (
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

func sideResult(s Shot, c *sideScene, v *sideview.View, t *metrics.SideTree) ShotResult {
	var out ShotResult
	add := func(m orchard.Measurement) { out.Measurements = append(out.Measurements, m) }
	add(c.length(orchard.HeightM, t.Height()))
	add(c.length(orchard.CrownBaseM, t.Base()))
	add(c.length(orchard.CrownWidthM, t.Width()))
	for _, w := range t.Profile() {
		m := c.length(orchard.WidthAtHeightM, w.SideLength)
		at := w.AtM
		m.AtM = &at
		add(m)
	}
	sh := t.Shares()
	add(share(orchard.DensityFraction, sh.Foliage))
	add(share(orchard.SkyGapFraction, sh.Sky))
	_ = math.Pi
	return out
}

func (c *sideScene) length(q orchard.Quantity, l metrics.SideLength) orchard.Measurement {
	m := orchard.Measurement{Quantity: q, Unit: "m", Method: "photo"}
	if l.Reason != "" {
		m.Absent = l.Reason
		return m
	}
	sd := c.withPose(l)
	lo, hi := math.Max(0, l.M-metrics.Z95*sd), l.M+metrics.Z95*sd
	v := l.M
	m.Value, m.Low95, m.High95 = &v, &lo, &hi
	return m
}

func share(q orchard.Quantity, p float64) orchard.Measurement {
	e := metrics.FromShare(p, 0.02+0.1*p, 0.005)
	return orchard.Measurement{Quantity: q, Unit: "1", Method: "photo", Value: &e.Value, Low95: &e.Low95, High95: &e.High95}
}
