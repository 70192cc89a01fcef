package metrics

import (
	"math"
	"testing"
)

// sightedAlley is a fit over sights and looks all over an alley.
func sightedAlley() (*alleyFit, [alleyUnknowns]float64) {
	a := &Alley{scene: AlleyScene{CameraHeightM: 1.5, BoardAheadM: 6, RowSpacingM: 5, SunElevationDeg: 60}, exp: newExpTable(), SpacingM: 4}
	a.rows = [2]alleyRow{{side: -1, lineM: 2.5}, {side: 1, lineM: 2.7, firstM: 1}}
	for k := range 400 { // none on a kink
		a.scene.Rays = append(a.scene.Rays, AlleyRay{Right: -0.7 + 0.0035*float64(k*7%400), Up: -0.3 + 0.03*float64(k%30), Canopy: k%3 > 0})
		a.scene.Floor = append(a.scene.Floor, AlleyFloorLook{RightM: -2.003 + 0.01*float64(k), AheadM: 3 + 0.1*float64(k%50), Shade: k%2 > 0})
	}
	a.scene.Rays = leftToRight(a.scene.Rays)
	f := newAlleyFit(a)
	u := f.mean
	u[uSunX], u[uSunY] = 0.5, -0.2
	return f, u
}

// sightedAlleys are that alley with its usual crowns; with skirts on the ground under a
// row so near that the camera stands among its crowns; with a top that the base holds up;
// and with a line held at its least.
func sightedAlleys() (*alleyFit, map[string][alleyUnknowns]float64) {
	f, u := sightedAlley()
	low, flat, held := u, u, u
	low[uBase], low[uLeft] = math.Log(0.1), 0.8
	flat[uTop] = u[uBase] + 0.01
	held[uRight] = leastLineM - 0.05
	return f, map[string][alleyUnknowns]float64{"usual": u, "low and near": low, "flat": flat, "line held": held}
}

// slope is the central difference of a function of the unknowns.
func slope(u [alleyUnknowns]float64, j int, of func([alleyUnknowns]float64) float64) float64 {
	const h = 1e-6
	up, down := u, u
	up[j] += h
	down[j] -= h
	return (of(up) - of(down)) / (2 * h)
}

// Slopes in closed form against central differences, sight by sight and look by look: to 1 %
// of the steepest of all but for a few that lie on a kink (the end of a step or of a cell
// of the crown's side), where a difference takes the mean of both sides.
func TestSlopesAreTheChances(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		m := f.model(u)
		for j := range u {
			var off, steepest float64
			var kinks int
			check := func(got, want float64) {
				steepest = math.Max(steepest, math.Abs(want))
				if d := math.Abs(got - want); d > 1e-4*(1+math.Abs(want)) {
					kinks++
					off = math.Max(off, d)
				}
			}
			for _, r := range f.a.scene.Rays {
				var d slopes
				if _, row, _ := m.sight(&r, &d); row == 1 {
					d[uLeft], d[uRight] = 0, d[uLeft]
				}
				check(d[j], slope(u, j, func(v [alleyUnknowns]float64) float64 {
					p, _, _ := f.model(v).sight(&r, new(slopes))
					return p
				}))
			}
			for _, l := range f.a.scene.Floor {
				var d slopes
				m.shade(&l, &d)
				check(d[j], slope(u, j, func(v [alleyUnknowns]float64) float64 {
					p, _ := f.model(v).shade(&l, nil)
					return p
				}))
			}
			if kinks > 4 || off > 0.01*steepest && kinks > 2 {
				t.Errorf("%s, unknown %d: %d slopes off, by up to %g of %g", name, j, kinks, off, steepest)
			}
		}
	}
}

// plainCost is a point's cost by its definition.
func (f *alleyFit) plainCost(u [alleyUnknowns]float64) float64 {
	m := f.model(u)
	var sights, looks odds
	for _, r := range f.a.scene.Rays {
		p, _, _ := m.sight(&r, new(slopes))
		sights.see(p, r.Canopy)
	}
	for _, l := range f.a.scene.Floor {
		p, _ := m.shade(&l, nil)
		looks.see(p, l.Shade)
	}
	return sights.cost()/sightsPerVote + looks.cost()/looksPerVote + f.known(u)
}

// The whole cost's gradient, with priors, ties and the sun's height; and the cost, which
// floats tell to a part in a million.
func TestGradientIsTheCosts(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		at := f.point(u)
		if want := f.plainCost(u); math.Abs(at.cost-want) > 1e-6*want {
			t.Errorf("%s: cost %.9f, want %.9f", name, at.cost, want)
		}
		for j := range u {
			got, want := at.grad.AtVec(j), slope(u, j, f.plainCost)
			if math.Abs(got-want) > 1e-3*(1+math.Abs(want)) {
				t.Errorf("%s, unknown %d: %.6f, want %.6f", name, j, got, want)
			}
		}
	}
}

// The information is, by its definition, the sum of the slopes' products over the chances'
// variance, with the priors' own; the gradient that of the slopes over the chances.
func TestInformationIsFishers(t *testing.T) {
	f, alleys := sightedAlleys()
	f.ties, f.a.scene.SunElevationDeg = nil, 0
	for name, u := range alleys {
		m := f.model(u)
		var want [alleyUnknowns][alleyUnknowns]float64
		var grad [alleyUnknowns]float64
		count := func(d slopes, p, votes float64, blocked bool) {
			for j := range d {
				for k := range d {
					want[j][k] += d[j] * d[k] / (p * (1 - p) * votes)
				}
				if blocked {
					grad[j] -= d[j] / (p * votes)
				} else {
					grad[j] += d[j] / ((1 - p) * votes)
				}
			}
		}
		for _, r := range f.a.scene.Rays {
			var d slopes
			p, row, _ := m.sight(&r, &d)
			if row == 1 {
				d[uLeft], d[uRight] = 0, d[uLeft]
			}
			count(d, p, sightsPerVote, r.Canopy)
		}
		for _, l := range f.a.scene.Floor {
			var d slopes
			p, _ := m.shade(&l, &d)
			count(d, p, looksPerVote, l.Shade)
		}
		for j := range want {
			want[j][j] += 1 / (f.sd[j] * f.sd[j])
			grad[j] += (u[j] - f.mean[j]) / (f.sd[j] * f.sd[j])
		}
		at := f.point(u)
		for j := range want {
			// In floats, to a part in a hundred thousand of what both unknowns are known by.
			if got := at.grad.AtVec(j); math.Abs(got-grad[j]) > 1e-5*math.Sqrt(want[j][j]) {
				t.Errorf("%s, gradient by %d: %g, want %g", name, j, got, grad[j])
			}
			for k := range want {
				if got := at.info.At(j, k); math.Abs(got-want[j][k]) > 1e-5*math.Sqrt(want[j][j]*want[k][k]) {
					t.Errorf("%s, information %d, %d: %g, want %g", name, j, k, got, want[j][k])
				}
			}
		}
	}
}

// A sight's chance against the density of leaves summed step by step, above the ground and
// before the camera.
func TestSightsMeetTheCrownsDensity(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		m := f.model(u)
		c := &m.crown
		for _, r := range f.a.scene.Rays {
			got, row, _ := m.sight(&r, new(slopes))
			out := math.Abs(r.Right - u[uYaw])
			if out < sideLeast {
				continue
			}
			line, first := math.Max(u[uLeft+row], leastLineM), f.a.rows[row].firstM
			step := 2 * crossReach * c.halfDepthM / crossSteps
			var tau float64
			for i := range crossSteps {
				across := (float64(i)+0.5)*step - crossReach*c.halfDepthM
				y := (line + across) / out
				z, rise := f.a.scene.CameraHeightM+r.Up*y, math.Abs(r.Up)*step/out
				share := math.Max(0, math.Min(1, 0.5+(line+across)/step))
				if r.Up < 0 {
					share *= math.Max(0, math.Min(1, 0.5+z/rise))
				}
				tau += share * c.density(across, offLattice(y, first, f.a.SpacingM), z)
			}
			length := step * math.Hypot(1, math.Hypot(1, r.Up)/out)
			want := fogShare + (1-2*fogShare)*(1-math.Exp(-c.perM*tau*length))
			if math.Abs(got-want) > 1e-9 {
				t.Fatalf("%s, sight %v: %.12f, want %.12f", name, r, got, want)
			}
		}
	}
}

// What sights past a tree cost is minus the log of their chances, wherever it stands and
// its neighbours with it.
func TestSightsPastATreeCostTheirChances(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		u[uYaw] = 0
		a := *f.a
		f.stand(&a, u)
		m := f.model(u)
		for k := range a.rows {
			r := &a.rows[k]
			r.first, r.trees = 1, []treeOff{{0.1, 0.1}, {-0.2, 0.1}, {0.3, 0.1}}
			for tree := range 5 {
				lo, hi := f.sights.Before(0.05), f.sights.Len()-3
				if k == 0 {
					lo, hi = 5, f.sights.Before(-0.05)
				}
				got := f.sights.PastTree(lo, hi, m.wideCrown(), m.rows[k].wide(m.perTree), m.rows[k].treePlaces(tree, r.first, &m.crown), []float32{0.1, -0.2, 0.3})
				for i, cost := range got {
					var want odds
					for _, ray := range a.scene.Rays[lo:hi] {
						ray.Right *= r.side
						way := a.past(r, &m.rows[k], tree, ray)
						want.see(fogShare+(1-2*fogShare)*(1-way.open(&a, float64(i-offSteps)*offStepM)), ray.Canopy)
					}
					if math.Abs(cost-want.cost()) > 1e-5*want.cost() {
						t.Fatalf("%s, row %d, tree %d at place %d: %.9f, want %.9f", name, k, tree, i, cost, want.cost())
					}
				}
			}
		}
	}
}

// A sight past a tree on the row's line is the same sight through the row.
func TestSightsPastATreeAreSights(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		u[uYaw] = 0
		a := *f.a
		f.stand(&a, u)
		m := f.model(u)
		for _, ray := range f.a.scene.Rays {
			p, k, _ := m.sight(&ray, new(slopes))
			outward := AlleyRay{math.Abs(ray.Right), ray.Up, ray.Canopy}
			for tree := range 3 {
				way := a.past(&a.rows[k], &m.rows[k], tree, outward)
				if q := fogShare + (1-2*fogShare)*(1-way.open(&a, 0)); math.Abs(p-q) > 1e-9 {
					t.Fatalf("%s, sight %v past tree %d: %.12f, %.12f through the row", name, ray, tree, q, p)
				}
			}
		}
	}
}

// The sun's way against the density of leaves summed layer by layer.
func TestShadeIsTheCrownsDensity(t *testing.T) {
	f, alleys := sightedAlleys()
	for name, u := range alleys {
		m := f.model(u)
		c := &m.crown
		low := math.Max(0, c.baseM-sunOver*(c.topM-c.baseM))
		step := (c.topM + sunOver*(c.topM-c.baseM) - low) / sunSteps
		for _, l := range f.a.scene.Floor {
			var tau float64
			for i := range sunSteps {
				z := low + (float64(i)+0.5)*step
				x, y := l.RightM-u[uYaw]*l.AheadM+u[uSunX]*z, l.AheadM+u[uSunY]*z
				for k, r := range f.a.rows {
					across := x*r.side - math.Max(u[uLeft+k], leastLineM)
					over := math.Abs(across)/c.halfDepthM - crossReach
					share := math.Max(0, math.Min(1, 0.5-over/(2*shadeEdge)))
					tau += share * c.density(across, offLattice(y, r.firstM, f.a.SpacingM), z)
				}
			}
			length := step * math.Hypot(1, math.Hypot(u[uSunX], u[uSunY]))
			want := sunFogShare + (1-2*sunFogShare)*(1-math.Exp(-c.perM*tau*length))
			if got, _ := m.shade(&l, nil); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%s, look %v: %.12f, want %.12f", name, l, got, want)
			}
		}
	}
}

// The product of many chances loses nothing against the sum of their logarithms.
func TestOddsAreTheSumOfLogarithms(t *testing.T) {
	var o odds
	var want float64
	for i := range 1000 {
		p := 0.03 + 0.94*float64(i%97)/96
		o.see(p, i%3 == 0)
		if i%3 != 0 {
			p = 1 - p
		}
		want -= math.Log(p)
	}
	if got := o.cost(); math.Abs(got-want) > 1e-9*want {
		t.Errorf("%.12f, want %.12f", got, want)
	}
}

// The start faces the way that explains the looks best, of all that are tried.
func TestFaceSunTakesTheBestWay(t *testing.T) {
	for i, c := range hedges() {
		sunX := 0.5 - 0.2*float64(i)
		s := shadeOf(boxAlley(c.face, c.foot, c.base, c.top), c.face, c.foot, c.base, c.top, sunX, 0.3)
		a := &Alley{scene: s, exp: newExpTable(), SpacingM: 2.6}
		a.stand(rowGuesses(s)[0])
		f := newAlleyFit(a)
		u := f.faceSun(f.mean)
		m := f.model(u)
		got, best := f.looks.SunwardCost(m.wideSun()), math.Inf(1)
		for k := range sunWays {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / sunWays)
			m.face(s.slopeLength()*sin, s.slopeLength()*cos)
			best = math.Min(best, f.looks.SunwardCost(m.wideSun()))
		}
		if got > best+1e-6 {
			t.Errorf("faces at %.1f m: cost %.3f, %.3f another way", c.face, got, best)
		}
	}
}
