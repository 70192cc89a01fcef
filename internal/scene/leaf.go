package scene

import "math"

// leafOutline is the blade: along its length (-1..1) and across (-1..1), in
// order round it. Broadest past the middle, pointed at both ends, as the leaves
// of the crop are (7-10 cm by 4-5 cm half-grown, to 20 cm grown).
func leafOutline() [6][2]float64 {
	return [6][2]float64{{-1, 0}, {-0.40, -0.95}, {0.35, -0.90}, {1, 0}, {0.35, 0.90}, {-0.40, 0.95}}
}

// LeafAreaM2 returns the area, one side, of a leaf of a half length and a half
// width in metres (shoelace over the outline).
func LeafAreaM2(halfLengthM, halfWidthM float64) float64 {
	o := leafOutline()
	twice := 0.0
	for i, p := range o {
		q := o[(i+1)%len(o)]
		twice += p[0]*q[1] - q[0]*p[1]
	}
	return math.Abs(twice) / 2 * halfLengthM * halfWidthM
}

// addLeaf puts in one leaf: its middle, its half length and half width as
// vectors square to each other.
func (m *mesh) addLeaf(f face, centre, along, across Vec3) {
	var c [6]Vec3
	for i, p := range leafOutline() {
		c[i] = centre.Add(along.Scale(p[0])).Add(across.Scale(p[1]))
	}
	f.kind = leafFace
	m.add(f, c[:]...)
}

// circlePoint is corner i of a regular polygon on the unit circle.
func circlePoint(i, n int) [2]float64 {
	s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
	return [2]float64{c, s}
}
