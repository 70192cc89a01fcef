package scene

import "math"

// depthMap is the stand as seen from a far light: the place nearest the light
// in each cell of a plane square to the beam.
type depthMap struct {
	u, v, d Vec3
	cellM   float64
	u0, v0  float64
	nu, nv  int
	depth   []float32 // along d, the highest in the cell
}

// Shade is not cast on what lies within the bias of the caster, or a leaf would
// darken itself: coarse for the sky's maps, fine for the sun's.
const skyBiasM, sunBiasM = 0.09, 0.025

// newDepthMap looks at a mesh along the direction d to the light; skip leaves
// faces out (nil: none).
func newDepthMap(m *mesh, skip []bool, d Vec3, cellM float64, low, high Vec3) *depthMap {
	dm := &depthMap{d: d, cellM: cellM}
	dm.u, dm.v = basis(d)
	dm.bound(low, high)
	dm.depth = make([]float32, dm.nu*dm.nv)
	for i := range dm.depth {
		dm.depth[i] = float32(math.Inf(-1))
	}
	var buf [maxCorners]point2
	for i := range m.faces {
		if skip != nil && skip[i] {
			continue
		}
		dm.draw(m, &m.faces[i], &buf)
	}
	return dm
}

// bound sizes the map to hold a box.
func (dm *depthMap) bound(low, high Vec3) {
	var minU, maxU, minV, maxV float64
	for k := range 8 {
		p := low
		if k&1 != 0 {
			p.X = high.X
		}
		if k&2 != 0 {
			p.Y = high.Y
		}
		if k&4 != 0 {
			p.Z = high.Z
		}
		a, b := p.Dot(dm.u), p.Dot(dm.v)
		if k == 0 {
			minU, maxU, minV, maxV = a, a, b, b
		}
		minU, maxU = math.Min(minU, a), math.Max(maxU, a)
		minV, maxV = math.Min(minV, b), math.Max(maxV, b)
	}
	dm.u0, dm.v0 = minU, minV
	dm.nu, dm.nv = int((maxU-minU)/dm.cellM)+2, int((maxV-minV)/dm.cellM)+2
}

// draw writes one face. Its depth varies over it as its plane does.
func (dm *depthMap) draw(m *mesh, f *face, buf *[maxCorners]point2) {
	p := buf[:0]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range m.corners(f) {
		p = append(p, dm.place(c))
		w := c.Dot(dm.d)
		lo, hi = min(lo, w), max(hi, w)
	}
	nd := f.normal.Dot(dm.d)
	if math.Abs(nd) < 1e-3 {
		return // edge on: no shade
	}
	stepU := -f.normal.Dot(dm.u) / nd * dm.cellM
	stepV := -f.normal.Dot(dm.v) / nd * dm.cellM
	mid := dm.place(f.centre)
	w0 := f.centre.Dot(dm.d) - stepU*mid.X - stepV*mid.Y
	fill(p, window{0, 0, dm.nu, dm.nv}, func(y, first, end int) {
		row := dm.depth[y*dm.nu : (y+1)*dm.nu]
		for x := first; x < end; x++ {
			w := float32(min(hi, max(lo, w0+stepU*float64(x)+stepV*float64(y))))
			if w > row[x] {
				row[x] = w
			}
		}
	})
}

func (dm *depthMap) place(p Vec3) point2 {
	return point2{(p.Dot(dm.u) - dm.u0) / dm.cellM, (p.Dot(dm.v) - dm.v0) / dm.cellM}
}

// sees says whether the light reaches a point.
func (dm *depthMap) sees(p Vec3, biasM float64) bool {
	at := dm.place(p)
	x, y := int(math.Round(at.X)), int(math.Round(at.Y))
	if x < 0 || y < 0 || x >= dm.nu || y >= dm.nv {
		return true
	}
	return float64(dm.depth[y*dm.nu+x]) <= p.Dot(dm.d)+biasM
}
