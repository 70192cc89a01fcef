package scene

import (
	"math"
	"testing"
)

// A disc of radius r about one marked pixel holds exactly the pixels with
// dx2 + dy2 <= r2: counted one by one.
func TestWithinIsADisc(t *testing.T) {
	const w, h, r = 41, 33, 9.5
	mark := make([]bool, w*h)
	mark[15*w+20] = true
	got := within(mark, w, h, r)
	for i := range got {
		dx, dy := float64(i%w-20), float64(i/w-15)
		if want := dx*dx+dy*dy <= r*r; got[i] != want {
			t.Fatalf("pixel %d, %d: %v, want %v", i%w, i/w, got[i], want)
		}
	}
}

// A ring is closed to a full disc, for its hole is filled; a far dot stays alone.
func TestClosedFillsHoles(t *testing.T) {
	const w, h = 80, 60
	b := &band{w: w, hit: make([]int32, w*h)}
	ring := 0
	for i := range b.hit {
		d := math.Hypot(float64(i%w-30), float64(i/w-30))
		b.hit[i] = -1
		if d >= 15 && d <= 20 {
			b.hit[i] = 0
		}
		if d <= 20 {
			ring++
		}
	}
	b.hit[10*w+70] = 0
	n := 0
	for _, in := range closed(b, 4) {
		if in {
			n++
		}
	}
	if n != ring+1 {
		t.Errorf("%d pixels, want the disc's %d and the dot", n, ring)
	}
}

// The lens bends: a point's ray must lead back to the point, and at slopes
// (0.5, 0.3) with k1 = -0.05, k2 = 0.01 Brown's factor is
// 1 - 0.05*0.34 + 0.01*0.34^2 = 0.984156.
func TestBentLensProjectsAndBack(t *testing.T) {
	c := Aim(Vec3{0, 0, 1}, Vec3{0, 10, 1}, 0, 800, 600)
	c.K1, c.K2 = -0.05, 0.01
	p := Vec3{5, 10, 1 - 3} // 10 m ahead, 5 right, 3 down
	x, y, _ := c.Project(p)
	cx, cy := c.Centre()
	const k = 0.984156
	if math.Abs(x-cx-c.FocalPx*0.5*k) > 1e-9 || math.Abs(y-cy-c.FocalPx*0.3*k) > 1e-9 {
		t.Errorf("shown at %.4f, %.4f", x, y)
	}
	ray := c.ray(x, y)
	if d := ray.Unit().Sub(p.Sub(c.Eye).Unit()).Norm(); d > 1e-9 {
		t.Errorf("the ray is off by %g", d)
	}
}

// On ground that rises 0.1 a metre to the east, a level plate 2 m over the origin
// with the sun at 45 degrees in the west throws its shade east, where the beam
// meets the slope: z = 2 - x and z = 0.1 x give x = 2/1.1.
func TestShadeFallsOnASlope(t *testing.T) {
	plate := one(Vec3{-0.1, -0.1, 2}, Vec3{0.1, -0.1, 2}, Vec3{0.1, 0.1, 2}, Vec3{-0.1, 0.1, 2})
	m := newSunMap(plate, nil, &Ground{SlopeEast: 0.1}, Sun{45, 270}, sunGrid{Vec3{1.5, 0, 0}, 1.2, 0.01, 8})
	var n, sum float64
	for j := range m.NY {
		for i := range m.NX {
			if k := 1 - m.cell(i, j); k > 0 {
				n, sum = n+k, sum+k*(m.X0+float64(i)*m.CellM)
			}
		}
	}
	if got, want := sum/n, 2/1.1; n == 0 || math.Abs(got-want) > 0.01 {
		t.Errorf("the shade's middle lies %.3f m east, want %.3f", got, want)
	}
}

// A tree keeps its height above the ground at its trunk on a slope, and stands
// lifted in the stand.
func TestTreesStandOnTheSlope(t *testing.T) {
	tree := Grow(TreeSpec{At: Vec3{10, 0, 0}, HeightM: 3, BaseM: 0.5, AlongM: 1, AcrossM: 1, LeafAreaM2: 2, Seed: 3})
	flat, slope := NewStand(1, Litter, tree), NewStandOn(1, Ground{SlopeEast: 0.1}, tree)
	for i, v := range flat.verts {
		if d := slope.verts[i].Sub(v); math.Abs(d.Z-1) > 1e-12 || d.X != 0 || d.Y != 0 {
			t.Fatalf("corner %d moved by %v, want 1 m up", i, d)
		}
	}
}

// Floor seen straight down from 1.5 m by a lens of 24 mm on 36 mm: 2.25 m by
// 1.5 m of ground. Nothing stands there: all lit, less the board's sheet (it lies
// 2 mm up, which takes 0.3 % more from sight).
func TestFloorSeenCountsGroundArea(t *testing.T) {
	c := Aim(Vec3{0, 0, 1.5}, Vec3{0, 0.001, 0}, 0, 300, 200)
	c.FocalPx = 200
	v := NewView(NewStand(1, Soil), floorsOnce(), Shot{Camera: c, Boards: []Board{FlatBoard(1, Vec3{}, 0)}, Sun: noon()})
	share, area := v.FloorSeen(v.Classes(-1), 9)
	if want := 2.25*1.5 - 0.42*0.297; math.Abs(area-want) > 0.01*want || share < 0.999 {
		t.Errorf("%.4f m2, %.3f lit; want %.4f m2 all lit", area, share, want)
	}
}
