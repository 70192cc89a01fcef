package metrics

import (
	"math"
	"math/rand"
	"sort"
)

// Invented crowns: leaves in clusters within an envelope of one of four forms,
// in wide ranges, drawn onto the row's plane as a pinhole sees them. They stand
// for what a crown's depth does to its outline (leaves before the plane show too
// high and too wide, those behind it too low and too narrow), and for the trade
// between pixels and leaves at a crown's rim. Nothing in them comes from a photo:
// the constants of side_depth.go and side_shape.go that say they were chosen
// here hold on photos only if crowns of leaves behave alike.

// invented is a crown's leaves with what is true of them.
type invented struct {
	leaves [][4][3]float64 // corners: along the row, away from the camera, up
	xs, zs []float64       // all corners
}

// profile is the envelope's radius share at a share u of the crown's height.
func inventedProfile(form int, u, a, b, e float64) float64 {
	bell := func(t float64) float64 { return math.Pow(math.Max(0, 1-math.Pow(math.Abs(t), e)), 1/e) }
	switch form {
	case 0: // rounded, from ellipsoid to nearly a drum
		return bell(2*u - 1)
	case 1: // narrow top
		if u < a {
			return math.Sqrt(math.Max(0, 1-(1-u/a)*(1-u/a)))
		}
		return 1 - math.Pow((u-a)/(1-a), 0.6+2*b)
	case 2: // top-heavy
		if u < 1-a {
			return 1 - (1-b)*(1-u/(1-a))
		}
		return bell((u - (1 - a)) / a)
	}
	return 1 - (1-b)*u*0.6 // hedged: straight sides, flat top
}

func invent(r *rand.Rand) *invented {
	span := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	h := span(2.5, 7)
	base, rad := h*span(0.06, 0.30), math.Min(h*span(0.2, 0.5), 2.6)
	form, a, b, e := r.Intn(4), span(0.15, 0.4), span(0.2, 0.9), span(1.6, 5)
	deep := span(0.75, 1.25) // depth over width
	open, shell := r.Float64() < 0.25, r.Float64()
	size := span(0.2, 0.55)
	// Clusters fill the envelope at least once over, or they would not hang together.
	n := int(span(1.2, 4) * rad * rad * deep * (h - base) / (4 * size * size * size / 3))
	n = min(max(n, 25), 700)
	centres, weight := make([][3]float64, 0, n), make([]float64, 0, n)
	total := 0.0
	for len(centres) < n {
		u, x, y := r.Float64(), span(-1, 1), span(-1, 1)
		rho, env := math.Hypot(x, y), inventedProfile(form, u, a, b, e)
		if rho > env || open && rho < 0.5*env && u > 0.35 || rho < 0.6*env && u < 0.85 && r.Float64() < shell {
			continue
		}
		total += r.ExpFloat64()
		centres, weight = append(centres, [3]float64{x * rad, y * rad * deep, base + u*(h-base)}), append(weight, total)
	}
	leafArea := span(1.2, 4.5) * math.Pi * rad * rad * deep
	count := int(math.Min(math.Max(leafArea/0.0045, 800), 9000))
	half := 0.075 * math.Sqrt(leafArea/(float64(count)*0.0045))
	t := &invented{}
	for range count {
		c := centres[min(sort.SearchFloat64s(weight, r.Float64()*total), n-1)]
		t.addLeaf(r, c, size, half)
	}
	return t
}

func (t *invented) addLeaf(r *rand.Rand, c [3]float64, size, half float64) {
	unit := func(down float64) [3]float64 {
		v := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64() - down}
		n := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
		return [3]float64{v[0] / n, v[1] / n, v[2] / n}
	}
	off, along, o := unit(0), unit(0.4), unit(0)
	dist := size * math.Pow(r.Float64(), 1/2.2)
	across := [3]float64{along[1]*o[2] - along[2]*o[1], along[2]*o[0] - along[0]*o[2], along[0]*o[1] - along[1]*o[0]}
	n := math.Sqrt(across[0]*across[0]+across[1]*across[1]+across[2]*across[2]) + 1e-9
	var q [4][3]float64
	for k := range 3 {
		m := c[k] + dist*off[k]
		q[0][k], q[2][k] = m+half*along[k], m-half*along[k]
		q[1][k], q[3][k] = m+0.4*half*across[k]/n, m-0.4*half*across[k]/n
	}
	for _, p := range q {
		if p[2] < 0.2 {
			return
		}
	}
	t.leaves = append(t.leaves, q)
	for _, p := range q {
		t.xs, t.zs = append(t.xs, p[0]), append(t.zs, p[2])
	}
}

func cornerQuantile(v []float64, q float64) float64 {
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	return s[min(len(s)-1, int(q*float64(len(s))))]
}

// heightM and widthM as the rendered photos' truth has them: 99.9 % of the
// corners lie below; 1 to 99 %.
func (t *invented) heightM() float64 { return cornerQuantile(t.zs, 0.999) }

func (t *invented) widthM() float64 { return cornerQuantile(t.xs, 0.99) - cornerQuantile(t.xs, 0.01) }

// plane draws the crown on the row's plane before open sky and ground, as a
// camera at a random place sees it.
func (t *invented) plane(r *rand.Rand) *SidePlane {
	h, top := 1.5+0.08*r.NormFloat64(), t.heightM()
	d := math.Max(4, top*(1.15+0.65*r.Float64()))
	const cell = 0.01
	p := &SidePlane{W: 900, CellM: cell, LeftM: -4.5, CameraHeightM: h, DistanceM: d}
	p.CameraXM = 1.2*r.Float64() - 0.6
	p.H = min(1000, int((h+(top+0.3-h)*1.6)/cell))
	p.Kind = make([]SideKind, p.W*p.H)
	for i := range p.Kind {
		p.Kind[i] = SideSky
		if p.ZM(i/p.W) < h {
			p.Kind[i] = SideGround
		}
	}
	paint(p, -0.1, 0.1, 0, 0.9, SideWood)
	for _, q := range t.leaves {
		var pts [4][2]float64
		for i, v := range q {
			k := d / (d + v[1])
			pts[i] = [2]float64{(p.CameraXM + (v[0]-p.CameraXM)*k - p.LeftM) / cell, (h + (v[2]-h)*k) / cell}
		}
		fillConvex(p, pts)
	}
	return p
}

func fillConvex(p *SidePlane, q [4][2]float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range q {
		lo, hi = math.Min(lo, v[1]), math.Max(hi, v[1])
	}
	for j := max(0, int(lo)); j <= min(p.H-1, int(hi)); j++ {
		y, l, r := float64(j)+0.5, math.Inf(1), math.Inf(-1)
		for i := range q {
			a, b := q[i], q[(i+1)%4]
			if (a[1] > y) != (b[1] > y) {
				x := a[0] + (b[0]-a[0])*(y-a[1])/(b[1]-a[1])
				l, r = math.Min(l, x), math.Max(r, x)
			}
		}
		for i := max(0, int(math.Ceil(l-0.5))); float64(i)+0.5 <= r && i < p.W; i++ {
			p.Kind[j*p.W+i] = SideFoliage
		}
	}
}
