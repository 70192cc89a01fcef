package metrics

import "math"

// drawnTree draws a crown of revolution, solid with foliage, on a row's plane
// as a camera at height h and distance d sees it: every circle of the crown
// projected by the pinhole onto the plane. radiusM gives the crown's radius at a
// height, 0 for none. A trunk of 20 cm stands at x = 0.4 m, the board at 0; the
// sky is over the level line and the ground under it.
func drawnTree(h, d float64, radiusM func(z float64) float64) *SidePlane {
	const cell, half, top = 0.01, 3.0, 7.0
	p := &SidePlane{
		W: int(2 * half / cell), H: int(top / cell), CellM: cell, LeftM: -half,
		CameraHeightM: h, DistanceM: d,
	}
	p.Kind = make([]SideKind, p.W*p.H)
	for i := range p.Kind {
		p.Kind[i] = SideSky
		if p.ZM(i/p.W) < h {
			p.Kind[i] = SideGround
		}
	}
	const trunk = 0.4
	paint(p, trunk-0.1, trunk+0.1, 0, 1.5, SideWood)
	for z := 0.0; z < top; z += cell / 2 {
		if r := radiusM(z); r > 0 {
			drawCircle(p, trunk, z, r)
		}
	}
	paint(p, -0.21, 0.21, 0.3, 0.6, SideBoard)
	return p
}

// drawCircle draws the disc of radius r at height z: near and far half.
func drawCircle(p *SidePlane, x0, z, r float64) {
	h, d := p.CameraHeightM, p.DistanceM
	for s := -r; s <= r; s += 0.02 {
		k := d / (d - s)
		zd, w := h+(z-h)*k, math.Sqrt(r*r-s*s)*k
		if zd > 0 {
			paint(p, x0-w, x0+w, zd-0.02, zd+0.02, SideFoliage)
		}
	}
}

func paint(p *SidePlane, x0, x1, z0, z1 float64, k SideKind) {
	for j := p.Row(z0); j <= p.Row(z1); j++ {
		for i := p.Column(x0); i <= p.Column(x1); i++ {
			p.Kind[j*p.W+i] = k
		}
	}
}

// ellipsoid is a crown with its middle at 2.6 m, 1.2 m in radius, 3.2 m high.
func ellipsoid(z float64) float64 {
	t := (z - 2.6) / 1.6
	return 1.2 * math.Sqrt(math.Max(0, 1-t*t))
}

// drum is a crown 1.2 m in radius from 1.0 to 4.2 m: flat on top.
func drum(z float64) float64 {
	if z < 1.0 || z > 4.2 {
		return 0
	}
	return 1.2
}
