package scene

import "math"

// Wood of a grown tree, metres: from memory of the trees, not measured.
const (
	trunkShare            = 0.022 // the trunk's radius over the tree's height
	trunkFlare            = 1.35  // the foot is that much wider
	forkLowM, forkHighM   = 0.65, 0.95
	limbRadiusM, limbTipM = 0.065, 0.022
	twigRadiusM, twigTipM = 0.013, 0.006
	limbCount             = 5
	limbSteps             = 6 // straight pieces of a limb
	trunkSides, limbSides = 12, 8
	twigSides             = 4
)

// growWood puts in trunk and limbs and returns points along the limbs.
func (t *Tree) growWood(rnd *Rand) []Vec3 {
	s := t.Spec
	wood := face{kind: woodFace, tree: -1, group: -1, shade: 1}
	fork := s.At.Add(Vec3{rnd.Between(-0.08, 0.08), rnd.Between(-0.08, 0.08), rnd.Between(forkLowM, forkHighM)})
	flare := s.At.Add(Vec3{0, 0, 0.12})
	r := trunkShare * s.HeightM
	t.mesh.addTube(wood, s.At, flare, r*trunkFlare, r*1.05, trunkSides)
	t.mesh.addTube(wood, flare, fork, r*1.05, r*0.9, trunkSides)
	var points []Vec3
	turn := rnd.Float()
	for i := range limbCount {
		sin, cos := math.Sincos(2 * math.Pi * (turn + (float64(i)+rnd.Between(-0.2, 0.2))/limbCount))
		reach := rnd.Between(0.35, 0.6)
		if i == 0 {
			reach = 0.08 // the leader
		}
		tip := s.At.Add(Heading(s.RowAzimuthDeg).Scale(cos * reach * s.AlongM)).
			Add(Heading(s.RowAzimuthDeg + 90).Scale(sin * reach * s.AcrossM)).
			Add(Vec3{0, 0, s.HeightM * rnd.Between(0.68, 0.84)})
		tip = tip.Add(s.leanAt(tip.Z))
		points = append(points, t.growLimb(rnd, wood, fork, tip)...)
	}
	return points
}

// growLimb puts in one limb, rising out and then up, with a little wander.
func (t *Tree) growLimb(rnd *Rand, wood face, from, tip Vec3) []Vec3 {
	points := make([]Vec3, 0, limbSteps)
	at, radius := from, limbRadiusM
	for k := 1; k <= limbSteps; k++ {
		u := float64(k) / limbSteps
		out := math.Pow(u, 0.75)
		next := Vec3{from.X + (tip.X-from.X)*out, from.Y + (tip.Y-from.Y)*out, from.Z + (tip.Z-from.Z)*math.Pow(u, 1.1)}
		next = next.Add(rnd.Sphere().Scale(0.06))
		r := limbRadiusM + (limbTipM-limbRadiusM)*u
		t.mesh.addTube(wood, at, next, radius, r, limbSides)
		points = append(points, next)
		at, radius = next, r
	}
	return points
}

// growTwig joins a cluster to the nearest limb.
func (t *Tree) growTwig(id int32, at Vec3, limbs []Vec3) {
	best, nearest := math.Inf(1), at
	for _, p := range limbs {
		d := p.Sub(at)
		if d.Z > 0 {
			d.Z *= 2 // shoots rise: a limb above is a poor parent
		}
		if n := d.Dot(d); n < best {
			best, nearest = n, p
		}
	}
	twig := face{kind: woodFace, tree: -1, group: id, shade: 0.9}
	t.mesh.addTube(twig, nearest, at, twigRadiusM, twigTipM, twigSides)
}
