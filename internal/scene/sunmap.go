package scene

import (
	"math"
	"math/bits"
)

// discSamples is the most directions to the sun's disc, one bit each.
const discSamples = 32

// SunMap is the share of the sun's disc that each cell of the ground sees. A
// face between the cell's middle and one of a few points of the disc
// takes that point's bit away.
type SunMap struct {
	X0, Y0 float64 // place of cell 0, 0's middle
	CellM  float64
	NX, NY int
	hidden []uint32
	ground *Ground
	disc   int // directions to the disc in use
}

// newSunMap casts a mesh's shade on the ground of a square about a middle.
func newSunMap(m *mesh, skip []bool, ground *Ground, sun Sun, g sunGrid) *SunMap {
	n := int(math.Ceil(2*g.halfM/g.cellM)) + 1
	s := &SunMap{X0: g.middle.X - g.halfM, Y0: g.middle.Y - g.halfM, CellM: g.cellM, NX: n, NY: n,
		hidden: make([]uint32, n*n), ground: ground, disc: g.disc}
	s.cast(m, skip, sun)
	return s
}

// sunGrid is where the sun on the ground is wanted, and how finely.
type sunGrid struct {
	middle       Vec3
	halfM, cellM float64
	disc         int // directions to the sun's disc, at most discSamples
}

// cast casts a mesh's shade.
func (s *SunMap) cast(m *mesh, skip []bool, sun Sun) {
	near := s.near(m, skip, sun.Direction())
	for k, d := range discDirections(sun, s.disc) {
		s.castAlong(m, near, d, 1<<k)
	}
}

// near lists the faces whose shade may reach the map. The disc's edge moves
// shade from where the disc's middle casts it by under 0.2 m, for crowns to 10 m
// and a sun over 30 degrees.
func (s *SunMap) near(m *mesh, skip []bool, d Vec3) []int32 {
	const marginM = 0.2
	x1, y1 := s.X0+float64(s.NX)*s.CellM+marginM, s.Y0+float64(s.NY)*s.CellM+marginM
	x0, y0 := s.X0-marginM, s.Y0-marginM
	var list []int32
	for i := range m.faces {
		if skip != nil && skip[i] {
			continue
		}
		west, east, south, north := true, true, true, true // all corners beyond that side
		for _, c := range m.corners(&m.faces[i]) {
			x, y := s.ground.along(c, d)
			west, east = west && x < x0, east && x > x1
			south, north = south && y < y0, north && y > y1
		}
		if !west && !east && !south && !north {
			list = append(list, int32(i))
		}
	}
	return list
}

// castAlong projects faces along one direction to the sun.
func (s *SunMap) castAlong(m *mesh, faces []int32, d Vec3, bit uint32) {
	var buf [maxCorners]point2
	for _, i := range faces {
		p := buf[:0]
		for _, c := range m.corners(&m.faces[i]) {
			x, y := s.ground.along(c, d)
			p = append(p, point2{(x - s.X0) / s.CellM, (y - s.Y0) / s.CellM})
		}
		fill(p, window{0, 0, s.NX, s.NY}, func(y, first, end int) {
			row := s.hidden[y*s.NX+first : y*s.NX+end]
			for x := range row {
				row[x] |= bit
			}
		})
	}
}

// cell returns the share of the disc seen at a cell.
func (s *SunMap) cell(x, y int) float64 {
	return 1 - float64(bits.OnesCount32(s.hidden[y*s.NX+x]))/float64(s.disc)
}

// At returns the share of the disc seen at a place, straight-line between cell
// middles; ok is false outside the map.
func (s *SunMap) At(x, y float64) (share float64, ok bool) {
	u, v := (x-s.X0)/s.CellM, (y-s.Y0)/s.CellM
	i, j := int(math.Floor(u)), int(math.Floor(v))
	if i < 0 || j < 0 || i >= s.NX-1 || j >= s.NY-1 {
		return 0, false
	}
	tu, tv := u-float64(i), v-float64(j)
	a := s.cell(i, j)*(1-tu) + s.cell(i+1, j)*tu
	b := s.cell(i, j+1)*(1-tu) + s.cell(i+1, j+1)*tu
	return a*(1-tv) + b*tv, true
}

// Mean returns the mean share within a radius of a place where keep (nil: all)
// holds, and the ground area it was taken over; NaN over none.
func (s *SunMap) Mean(at Vec3, radiusM float64, keep func(x, y float64) bool) (share, areaM2 float64) {
	sum, n := 0.0, 0
	for j := range s.NY {
		for i := range s.NX {
			x, y := s.X0+float64(i)*s.CellM, s.Y0+float64(j)*s.CellM
			if math.Hypot(x-at.X, y-at.Y) > radiusM || keep != nil && !keep(x, y) {
				continue
			}
			sum += s.cell(i, j)
			n++
		}
	}
	return sum / float64(n), float64(n) * s.CellM * s.CellM
}
