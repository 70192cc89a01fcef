package scene

import "math"

// Stand is trees on the ground, with the light of the sky on them worked out.
// It is not changed after NewStand and may be photographed from several
// goroutines at once.
type Stand struct {
	mesh
	Ground
	Trees []*Tree
	// openFront and openBack hold, a face, the light a sky of radiance 1 sends
	// to each side of it: 0 to pi.
	openFront, openBack []float32
	open                openGrid
	cover               cover
	rows                []rowLine
	seed                uint64
	low, high           Vec3 // the corners of a box round everything
}

// Stand-wide settings.
const (
	// skyCount directions over the half sky; skyCellM cells in their depth maps,
	// about half a leaf.
	skyCount = 40
	skyCellM = 0.07
	// openCellM is the step of the ground's grid of sky openness.
	openCellM = 0.25
	// standMarginM of open ground round the trees.
	standMarginM = 4.0
)

// NewStand puts trees together on level ground.
func NewStand(seed uint64, floor Floor, trees ...*Tree) *Stand {
	return NewStandOn(seed, Ground{Floor: floor}, trees...)
}

// NewStandOn puts trees together. On a slope each is lifted, upright, to the
// ground at its trunk.
func NewStandOn(seed uint64, ground Ground, trees ...*Tree) *Stand {
	s := &Stand{Trees: trees, Ground: ground, rows: rowLines(trees), seed: seed}
	for i, t := range trees {
		s.take(int16(i), t)
	}
	s.low, s.high = Vec3{-1, -1, 0}, Vec3{1, 1, 1}
	for i, v := range s.verts {
		if i == 0 {
			s.low, s.high = v, v
		}
		s.low = Vec3{math.Min(s.low.X, v.X), math.Min(s.low.Y, v.Y), math.Min(s.low.Z, v.Z)}
		s.high = Vec3{math.Max(s.high.X, v.X), math.Max(s.high.Y, v.Y), math.Max(s.high.Z, v.Z)}
	}
	s.lightFromSky()
	s.cover = s.newCover()
	return s
}

// take copies what is left of a tree: a limb is cut where no foliage stands above.
func (s *Stand) take(index int16, t *Tree) {
	top := t.highestCluster() + t.Spec.ClusterM
	lift := Vec3{Z: s.HeightM(t.Spec.At.X, t.Spec.At.Y)}
	for i := range t.mesh.faces {
		f := t.mesh.faces[i]
		if f.group >= 0 && t.cut[f.group] {
			continue
		}
		if f.kind == woodFace && f.group < 0 && f.centre.Z > max(top, forkHighM) {
			continue
		}
		corners := t.mesh.corners(&f)
		f.tree, f.first = index, int32(len(s.verts))
		f.centre = f.centre.Add(lift)
		for _, c := range corners {
			s.verts = append(s.verts, c.Add(lift))
		}
		s.faces = append(s.faces, f)
	}
}

// lightFromSky fills in how open each face and the ground are to the sky.
func (s *Stand) lightFromSky() {
	s.openFront = make([]float32, len(s.faces))
	s.openBack = make([]float32, len(s.faces))
	s.open = openGrid{grid: newGrid(s.low, s.high, openCellM)}
	s.open.v = make([]float32, s.open.nx*s.open.ny)
	directions := skyDirections(skyCount)
	solid := 2 * math.Pi / float64(len(directions))
	for _, d := range directions {
		m := newDepthMap(&s.mesh, nil, d, skyCellM, s.low, s.high)
		s.open.gather(m, &s.Ground, d, solid)
		for i := range s.faces {
			f := &s.faces[i]
			if !m.sees(f.centre, skyBiasM) {
				continue
			}
			if c := f.normal.Dot(d); c > 0 {
				s.openFront[i] += float32(c * solid)
			} else {
				s.openBack[i] -= float32(c * solid)
			}
		}
	}
}

// openGrid is the share of an even sky's light that reaches the ground, by place.
type openGrid struct {
	grid
	v []float32
}

// gather adds the light of one direction of the sky, four looks a cell.
func (g *openGrid) gather(m *depthMap, ground *Ground, d Vec3, solid float64) {
	const looks = 4
	add := float32(d.Z * solid / math.Pi / looks)
	for j := range g.ny {
		for i := range g.nx {
			x, y := g.place(i, j)
			for k := range looks {
				dx, dy := (float64(k&1)-0.5)*0.5, (float64(k>>1)-0.5)*0.5
				if m.sees(ground.On(Vec3{X: x + dx*openCellM, Y: y + dy*openCellM}), skyBiasM) {
					g.v[j*g.nx+i] += add
				}
			}
		}
	}
}

// at returns the openness at a place; beyond the grid its rim goes on.
func (g *openGrid) at(x, y float64) float64 {
	i, j, tu, tv := g.find(x, y)
	return g.blend(g.v, i, j, tu, tv)
}
