package pipeline

import (
	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/sideview"
)

const (
	// The ground is looked at to groundAsideM each side of the board, from nearEndM before
	// the camera to groundBehindM behind the row, in cells of groundCellM: a few leaves' shade.
	groundAsideM, groundBehindM, nearEndM = 6.0, 7.0, 1.0
	groundCellM                           = 0.10
)

// onGround is a point of the ground in the board's own frame, which counts in nominal
// lengths.
func (c *sideScene) onGround(xM, behindM float64) calibrate.Vec3 {
	q := c.onBoard(metrics.SidePoint{XM: xM})
	q[2] = behindM / c.scale
	return q
}

// ground tells sun from shade on the ground about the tree; nil where the light is of one
// kind, or the sun too low or its height not known.
func (c *sideScene) ground(s Shot, v *sideview.View, h sideview.Hints) *metrics.GroundShade {
	if s.Sun == nil || s.Sun.ElevationDeg < metrics.ShadeSunLeastDeg {
		return nil
	}
	open := sideview.FindOpenGround(s.Photo, v, h)
	_, _, away := c.camera()
	g := &metrics.GroundShade{CellM: groundCellM, LeftM: -groundAsideM, NearM: nearEndM - away, SunElevationDeg: s.Sun.ElevationDeg}
	g.W, g.H = int(2*groundAsideM/groundCellM), int((groundBehindM-g.NearM)/groundCellM)
	if g.H <= 0 {
		return nil
	}
	g.State = make([]metrics.GroundState, g.W*g.H)
	ln := make([]float64, len(g.State))
	var all []float64
	row := make([]calibrate.Pixel, g.W)
	seen := make([]bool, len(g.State))
	for j := range g.H {
		from, to := c.onGround(g.XM(0), g.BehindM(j)), c.onGround(g.XM(1), g.BehindM(j))
		c.pose.ProjectRow(from, to.Sub(from), row)
		half := (row[1].X - row[0].X) / 2
		for i, px := range row {
			k := j*g.W + i
			ln[k], seen[k] = open.Light(px, half)
		}
	}
	ln = evened(ln, seen, g.W)
	for k, in := range seen {
		if in {
			all = append(all, ln[k])
		}
	}
	cut, ok := vision.SunCut(all)
	if !ok {
		return nil
	}
	for k, in := range seen {
		switch {
		case in && ln[k] < cut:
			g.State[k] = metrics.GroundShaded
		case in:
			g.State[k] = metrics.GroundSunlit
		}
	}
	return g
}

// evened is the mean of what is seen of each cell and the eight about it: litter and
// blades of grass even out, shade hardly.
func evened(ln []float64, seen []bool, w int) []float64 {
	out := make([]float64, len(ln))
	for k := range ln {
		if !seen[k] {
			continue
		}
		var sum, n float64
		for _, up := range [3]int{-w, 0, w} {
			for _, aside := range [3]int{-1, 0, 1} {
				i, at := k%w+aside, k+up+aside
				if i >= 0 && i < w && at >= 0 && at < len(ln) && seen[at] {
					sum, n = sum+ln[at], n+1
				}
			}
		}
		out[k] = sum / n
	}
	return out
}
