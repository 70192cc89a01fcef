package scene

import (
	"math"
	"testing"
)

// one makes a mesh of a single flat face.
func one(corners ...Vec3) *mesh {
	m := &mesh{}
	m.add(face{tree: -1, group: -1}, corners...)
	return m
}

// A straight edge across the sun's disc blurs its shade over 9.250 mm a metre of
// path, square to the beam (2 tan 0.265 degrees; trade practice 1.6). The
// gradient of the shade is the disc seen from its edge, whose standard deviation
// is a quarter of the disc's width (a uniform disc: radius/2). Thirty-two points
// in a spiral hold that within 3 %: the error of a 32-point mean of cos^2.
func TestPenumbraIsNineMillimetresAMetre(t *testing.T) {
	const heightM, cellM = 4.0, 0.001
	for _, elevation := range []float64{45, 60, 75} {
		sun := Sun{elevation, 0} // due north: the edge below runs north, across no beam
		edge := one(Vec3{0, -9, heightM}, Vec3{9, -9, heightM}, Vec3{9, 9, heightM}, Vec3{0, 9, heightM})
		m := newSunMap(edge, nil, &Ground{}, sun, sunGrid{Vec3{0, 0, 0}, 0.1, cellM, discSamples})
		var weight, sum, squares float64
		for i := 1; i < m.NX; i++ {
			x := m.X0 + (float64(i)-0.5)*cellM
			w := m.cell(i-1, m.NY/2) - m.cell(i, m.NY/2)
			weight, sum, squares = weight+w, sum+w*x, squares+w*x*x
		}
		if math.Abs(weight-1) > 1e-9 {
			t.Fatalf("elevation %g: the shade runs over %g of the disc, want all of it", elevation, weight)
		}
		width := 4 * math.Sqrt(squares-sum*sum)
		path := heightM / math.Sin(elevation*degree)
		if want := 0.009250 * path; math.Abs(width-want) > 0.03*want {
			t.Errorf("elevation %g: penumbra %.2f mm wide, want %.2f", elevation, 1000*width, 1000*want)
		}
	}
}

// A level octagon of circumradius r has the area 2 sqrt 2 r^2 and shades as much
// ground, whatever the sun and its penumbra. A cell counts by its middle, so the
// area is off by under half a cell along the outline, 32 outlines averaged.
func TestKnownAreaGivesKnownSunFraction(t *testing.T) {
	const r, cellM, halfM = 0.5, 0.01, 2.0
	var c [8]Vec3
	for i := range c {
		p := circlePoint(i, 8)
		c[i] = Vec3{r * p[0], r*p[1] + 1, 2}
	}
	m := newSunMap(one(c[:]...), nil, &Ground{}, Sun{60, 0}, sunGrid{Vec3{0, 0, 0}, halfM, cellM, discSamples})
	lit, area := m.Mean(Vec3{0, 0, 0}, 1.5, nil)
	shaded := (1 - lit) * area
	want, bound := 2*math.Sqrt2*r*r, 2*math.Pi*r*cellM/2
	if math.Abs(shaded-want) > bound {
		t.Errorf("shaded %.4f m2, want %.4f within %.4f", shaded, want, bound)
	}
}

// Leaves strewn at random leave gaps P = exp(-G PAI / cos z), G = 0.5 for leaves
// that face every way alike: trade practice table 1.1, PAI 2.
//
// How far a sample may be off: for discs strewn at random the shares of two places
// go together only where one leaf hides both, so the variance of the mean over an
// area A is at most P^2 (e^L - 1) a / A, with L = -ln P and a the largest shade of
// a leaf; the bound is three times its root.
func TestPoissonLeavesGiveTheKnownGapFraction(t *testing.T) {
	const pai, boxHalfM, sampleHalfM = 2.0, 5.0, 2.5
	m := poissonLeaves(pai, boxHalfM)
	for _, c := range []struct{ zenithDeg, p float64 }{{10, 0.3622}, {30, 0.3152}, {40, 0.2711}} {
		sun := Sun{90 - c.zenithDeg, 20}
		s := newSunMap(m, nil, &Ground{}, sun, sunGrid{Vec3{0, 0, 0}, sampleHalfM, 0.01, 8})
		got, area := s.Mean(Vec3{0, 0, 0}, 2*sampleHalfM, nil)
		leaf := LeafAreaM2(halfLengthMaxM, widthShare*halfLengthMaxM) / math.Cos(c.zenithDeg*degree)
		bound := 3 * c.p * math.Sqrt((1/c.p-1)*leaf/area)
		if math.Abs(got-c.p) > bound {
			t.Errorf("zenith %g: %.4f of the floor lit, want %.4f within %.4f", c.zenithDeg, got, c.p, bound)
		}
	}
}

// poissonLeaves strews leaves from 1 to 2 m high over a square, turned every way.
func poissonLeaves(pai, halfM float64) *mesh {
	rnd := NewRand(4)
	m := &mesh{}
	for area := 0.0; area < pai*4*halfM*halfM; {
		along := rnd.Sphere()
		across := rnd.Sphere().Cross(along).Unit()
		hl := rnd.Between(halfLengthMinM, halfLengthMaxM)
		at := Vec3{rnd.Between(-halfM, halfM), rnd.Between(-halfM, halfM), rnd.Between(1, 2)}
		m.addLeaf(face{tree: -1, group: -1}, at, along.Scale(hl), across.Scale(widthShare*hl))
		area += LeafAreaM2(hl, widthShare*hl)
	}
	return m
}

// The map of the sun must say what single rays say: from a cell's middle, a ray to
// each point of the disc, tried against every face by itself.
func TestSunMapAgreesWithRays(t *testing.T) {
	tree := Grow(TreeSpec{HeightM: 3, BaseM: 0.5, AlongM: 1, AcrossM: 1, Form: Round, LeafAreaM2: 5, Seed: 3})
	sun := Sun{55, 30}
	m := newSunMap(&tree.mesh, nil, &Ground{}, sun, sunGrid{Vec3{-0.8, -1.2, 0}, 1, 0.02, discSamples})
	rnd := NewRand(9)
	partly := 0
	for range 60 {
		i, j := int(rnd.Between(0, float64(m.NX))), int(rnd.Between(0, float64(m.NY)))
		p := Vec3{m.X0 + float64(i)*m.CellM, m.Y0 + float64(j)*m.CellM, 0}
		seen := 0
		for _, d := range discDirections(sun, discSamples) {
			if !blocked(&tree.mesh, p, d) {
				seen++
			}
		}
		want := float64(seen) / discSamples
		if want > 0 && want < 1 {
			partly++
		}
		// One point of the disc may graze an edge and fall either way by rounding.
		if got := m.cell(i, j); math.Abs(got-want) > 1.0/discSamples+1e-9 {
			t.Errorf("cell %d, %d: the map says %g of the disc, the rays %g", i, j, got, want)
		}
	}
	if partly < 5 {
		t.Errorf("only %d places in part shade: the check says little", partly)
	}
}

// blocked says whether a ray from p along d meets a face.
func blocked(m *mesh, p, d Vec3) bool {
	for i := range m.faces {
		f := &m.faces[i]
		nd := f.normal.Dot(d)
		if nd == 0 {
			continue
		}
		t := f.normal.Dot(f.centre.Sub(p)) / nd
		if t > 0 && inside(m.corners(f), f.normal, p.Add(d.Scale(t))) {
			return true
		}
	}
	return false
}

func inside(c []Vec3, n, q Vec3) bool {
	for i, a := range c {
		b := c[(i+1)%len(c)]
		if b.Sub(a).Cross(q.Sub(a)).Dot(n) < 0 {
			return false
		}
	}
	return true
}

// Meeus, Astronomical Algorithms, example 25.a: 1992 October 13, 0h TD, apparent
// right ascension 198.38083, declination -7.78507 degrees (from memory).
func TestSunEquatorial(t *testing.T) {
	ra, dec := sunEquatorial(-0.072183436)
	if got := math.Mod(ra/degree+360, 360); math.Abs(got-198.38083) > 1e-4 {
		t.Errorf("right ascension %.5f, want 198.38083", got)
	}
	if got := dec / degree; math.Abs(got+7.78507) > 1e-4 {
		t.Errorf("declination %.5f, want -7.78507", got)
	}
}
