package scene

// grid is knots over the ground of a stand and its margin.
type grid struct {
	x0, y0, stepM float64
	nx, ny        int
}

func newGrid(low, high Vec3, stepM float64) grid {
	g := grid{x0: low.X - standMarginM, y0: low.Y - standMarginM, stepM: stepM}
	g.nx = int((high.X+standMarginM-g.x0)/stepM) + 2
	g.ny = int((high.Y+standMarginM-g.y0)/stepM) + 2
	return g
}

// place returns where a knot is.
func (g *grid) place(i, j int) (x, y float64) {
	return g.x0 + float64(i)*g.stepM, g.y0 + float64(j)*g.stepM
}

// find returns the knot low of a place and how far past it the place is, 0..1;
// a place beyond the grid is moved to its rim.
func (g *grid) find(x, y float64) (i, j int, tu, tv float32) {
	u := min(max((x-g.x0)/g.stepM, 0), float64(g.nx)-1.001)
	v := min(max((y-g.y0)/g.stepM, 0), float64(g.ny)-1.001)
	i, j = int(u), int(v)
	return i, j, float32(u - float64(i)), float32(v - float64(j))
}

// blend reads values at a found place, straight-line between knots.
func (g *grid) blend(v []float32, i, j int, tu, tv float32) float64 {
	k := j*g.nx + i
	a := v[k]*(1-tu) + v[k+1]*tu
	b := v[k+g.nx]*(1-tu) + v[k+g.nx+1]*tu
	return float64(a*(1-tv) + b*tv)
}
