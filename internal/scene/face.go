package scene

// faceKind says what a face is made of.
type faceKind uint8

const (
	leafFace faceKind = iota
	woodFace
	stakeFace
	boardFace
)

// maxCorners is the most corners a face has; clipping at the lens adds one.
const maxCorners = 8

// face is a flat convex piece of something: its corners are verts[first:first+n]
// of the stand it belongs to.
type face struct {
	first  int32
	n      uint8
	kind   faceKind
	tree   int16 // index of the tree, -1 for none
	group  int32 // leaf cluster within the tree, -1 for none
	shade  float32
	normal Vec3
	centre Vec3
}

// mesh is faces and their corners.
type mesh struct {
	verts []Vec3
	faces []face
}

// corners returns a face's corners.
func (m *mesh) corners(f *face) []Vec3 { return m.verts[f.first : int(f.first)+int(f.n)] }

// add puts a face in; the corners run round it in order, all in one plane.
func (m *mesh) add(f face, corners ...Vec3) {
	f.first, f.n = int32(len(m.verts)), uint8(len(corners))
	for _, c := range corners {
		f.centre = f.centre.Add(c.Scale(1 / float64(len(corners))))
	}
	f.normal = corners[1].Sub(corners[0]).Cross(corners[2].Sub(corners[0])).Unit()
	m.verts = append(m.verts, corners...)
	m.faces = append(m.faces, f)
}

// addTube puts in a tapered round piece of wood as flat sides.
func (m *mesh) addTube(f face, from, to Vec3, r0, r1 float64, sides int) {
	axis := to.Sub(from).Unit()
	u, v := basis(axis)
	ring := func(at Vec3, r float64, i int) Vec3 {
		c := circlePoint(i, sides)
		return at.Add(u.Scale(r * c[0])).Add(v.Scale(r * c[1]))
	}
	for i := range sides {
		m.add(f, ring(from, r0, i), ring(from, r0, i+1), ring(to, r1, i+1), ring(to, r1, i))
	}
}
