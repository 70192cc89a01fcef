package vision

import (
	"math"
	"testing"

	"rowlight/calibrate"
)

// Every pixel by the chart's own definition, the horizon within the picture.
func TestGroundIsTheChart(t *testing.T) {
	const w, h, across, side, reach, near = 61, 40, 6, 0.5, 3.0, 1.4
	c := calibrate.Chart{
		U: calibrate.Vec3{0.0301, 0.0023, -1.0031}, V: calibrate.Vec3{0.0011, 0.0407, -1.1013}, W: calibrate.Vec3{0.002, 0.02, -0.1},
		D: 0.9, AreaM2: 1e-3,
	}
	g := NewGround(w, h, across)
	g.Lay(c, reach, near, side)
	var within, beyond, unseen int
	for i := range g.AreaM2 {
		at := calibrate.Vec3{float64(i % w), float64(i / w), 1}
		s := c.D / c.W.Dot(at)
		u, v := c.U.Dot(at)/c.W.Dot(at), c.V.Dot(at)/c.W.Dot(at)
		away, area, square := math.Hypot(u, v), 0.0, 0
		if s > 0 && away < near {
			area = s * s * s * c.AreaM2
			square = int(math.Floor(v/side)+across/2)*across + int(math.Floor(u/side)+across/2)
			within++
		} else if s > 0 {
			beyond++
		} else {
			unseen++
		}
		if g.Within.In[i] != (s > 0 && away < reach) || math.Abs(float64(g.AreaM2[i])-area) > 1e-6*area || int(g.Square[i]) != square {
			t.Fatalf("pixel %d: %v, %g in %d; want %g in %d", i, g.Within.In[i], g.AreaM2[i], g.Square[i], area, square)
		}
	}
	if within == 0 || beyond == 0 || unseen == 0 {
		t.Errorf("%d pixels near, %d beyond, %d over the horizon: not all is tested", within, beyond, unseen)
	}
}
