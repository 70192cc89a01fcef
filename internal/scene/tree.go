package scene

import "math"

// Tree is one tree: what it was grown from, its clusters and its faces.
type Tree struct {
	Spec     TreeSpec
	Clusters []Vec3 // the middle of each leaf cluster
	cut      []bool // by cluster
	mesh     mesh
}

// TreeSpec is what a tree is grown from. Lengths in metres.
type TreeSpec struct {
	At            Vec3 // the trunk's foot, z 0
	RowAzimuthDeg float64
	HeightM       float64 // of the highest shoots, nearly
	BaseM         float64 // of the lowest foliage, nearly
	AlongM        float64 // half width along the row
	AcrossM       float64 // half width across it
	Form          Form
	LeafAreaM2    float64 // one side
	// Coarse draws leaves this many times as long and fewer of them, for trees
	// that only stand in the background; 0 and 1 are full detail.
	Coarse float64
	Seed   uint64

	// Lean moves the crown's top this far over along and across the row, metres.
	LeanAlongM, LeanAcrossM float64
	// LeafScale is the size of a blade against the crop's usual; 0 is 1.
	LeafScale float64
	// ClusterM is the radius of a cluster of leaves; 0 is the usual. Fewer,
	// larger clusters leave larger gaps.
	ClusterM float64
	// Hollow keeps leaves out of the middle of the upper crown, a share of its
	// radius: an open centre. Skirts lifted on one side are Windows.
	Hollow float64
	// Windows are balls of the crown without leaves.
	Windows []Window
}

// Window is a ball without leaves: its middle in shares of the crown (along and
// across -1..1, up 0..1), its radius in metres.
type Window struct{ Along, Across, Up, RadiusM float64 }

const (
	// clusterRadiusM and leavesPerCluster: a flush on a shoot tip (from memory).
	clusterRadiusM   = 0.24
	leavesPerCluster = 32
	// Half length of a blade: 10 to 18 cm long, the crop's grown leaves; half
	// width as a share of it.
	halfLengthMinM, halfLengthMaxM = 0.050, 0.090
	widthShare                     = 0.44
	// shellPower 0.5 fills a disc evenly; less crowds the rim.
	shellPower = 0.38
	// lowestLeafM: no leaf grows into the ground.
	lowestLeafM = 0.10
)

// Grow makes a tree; the same spec gives the same tree.
func Grow(s TreeSpec) *Tree {
	s.fillIn()
	t := &Tree{Spec: s}
	rnd := NewRand(s.Seed, 1)
	limbs := t.growWood(NewRand(s.Seed, 2))
	for area := 0.0; area < s.LeafAreaM2; {
		at := t.clusterPlace(rnd)
		if s.inWindow(at) {
			continue
		}
		id := int32(len(t.Clusters))
		t.Clusters = append(t.Clusters, at)
		area += t.growCluster(rnd, id, at)
		t.growTwig(id, at, limbs)
	}
	t.cut = make([]bool, len(t.Clusters))
	return t
}

// clusterPlace draws a place in the crown, more often near its face.
func (t *Tree) clusterPlace(rnd *Rand) Vec3 {
	s := t.Spec
	var h float64
	for {
		h = rnd.Float()
		if p := s.Form.profile(h); rnd.Float() < p*p {
			break
		}
	}
	rho := math.Pow(s.hollowed(h, rnd.Float()), shellPower) * s.Form.profile(h)
	sin, cos := math.Sincos(2 * math.Pi * rnd.Float())
	r := s.ClusterM * math.Sqrt(s.Coarse)
	along := Heading(s.RowAzimuthDeg).Scale(rho * cos * math.Max(0.1, s.AlongM-r))
	across := Heading(s.RowAzimuthDeg + 90).Scale(rho * sin * math.Max(0.1, s.AcrossM-r))
	low, high := s.BaseM+r, s.HeightM-r
	return s.At.Add(along).Add(across).Add(Vec3{0, 0, low + h*(high-low)}).Add(s.leanAt(low + h*(high-low)))
}

// growCluster puts the leaves of one cluster in and returns their area.
func (t *Tree) growCluster(rnd *Rand, id int32, at Vec3) (areaM2 float64) {
	hue := rnd.Between(0.75, 1.25)
	for range leavesPerCluster {
		off := rnd.Ball()
		along := off.Unit().Scale(0.8).Add(Vec3{0, 0, -0.45}).Add(rnd.Sphere().Scale(0.45)).Unit()
		facing := rnd.Sphere().Add(Vec3{0, 0, 0.7})
		across := facing.Cross(along).Unit()
		hl := rnd.Between(halfLengthMinM, halfLengthMaxM) * t.Spec.Coarse * t.Spec.LeafScale
		c := at.Add(off.Scale(t.Spec.ClusterM * math.Sqrt(t.Spec.Coarse)))
		c.Z = math.Max(c.Z, lowestLeafM+hl)
		shade := float32(hue * rnd.Between(0.8, 1.2))
		t.mesh.addLeaf(face{tree: -1, group: id, shade: shade}, c, along.Scale(hl), across.Scale(widthShare*hl))
		areaM2 += LeafAreaM2(hl, widthShare*hl)
	}
	return areaM2
}

// LeafAreaM2 returns the one-sided area of the leaves that are left.
func (t *Tree) LeafAreaM2() float64 {
	sum := 0.0
	for i := range t.mesh.faces {
		f := &t.mesh.faces[i]
		if f.kind != leafFace || t.cut[f.group] {
			continue
		}
		c := t.mesh.corners(f)
		sum += LeafAreaM2(c[3].Sub(c[0]).Norm()/2, c[5].Sub(c[1]).Norm()/2/0.95)
	}
	return sum
}

// Prune takes away every cluster that remove names, with its twig.
func (t *Tree) Prune(remove func(middle Vec3) bool) {
	for i, c := range t.Clusters {
		t.cut[i] = t.cut[i] || remove(c)
	}
}

// Pruned returns a copy of the tree with the clusters that remove names gone.
func (t *Tree) Pruned(remove func(middle Vec3) bool) *Tree {
	c := *t
	c.cut = append([]bool(nil), t.cut...)
	c.Prune(remove)
	return &c
}

// highestCluster is the height of the highest cluster that is left; 0 for none.
func (t *Tree) highestCluster() float64 {
	top := 0.0
	for i, c := range t.Clusters {
		if !t.cut[i] {
			top = max(top, c.Z)
		}
	}
	return top
}

// leafCorners calls visit for every corner of the leaves that are left.
func (t *Tree) leafCorners(visit func(Vec3)) {
	for i := range t.mesh.faces {
		f := &t.mesh.faces[i]
		if f.kind != leafFace || t.cut[f.group] {
			continue
		}
		for _, c := range t.mesh.corners(f) {
			visit(c)
		}
	}
}
