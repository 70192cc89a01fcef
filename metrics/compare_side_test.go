package metrics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// drawnCrown draws a tree on a plane of 1 cm cells: a trunk, and clusters of leaves
// at random in an ellipse 3 m wide from 0.9 to 4.1 m; keep says which clusters still
// hang. Cells are classed wrongly as often as photos' are (leafAsOpen, openAsLeaf).
func drawnCrown(keep func(cluster int) bool, noise uint64, fit SideFit) *SidePlane {
	const cell, leftM, w, h = 0.01, -3.0, 600, 600
	p := &SidePlane{W: w, H: h, CellM: cell, LeftM: leftM, Kind: make([]SideKind, w*h), CameraHeightM: 1.5, DistanceM: 7, RowSpacingM: 1000} // no row behind
	for i := range p.Kind {
		p.Kind[i] = SideSky
	}
	for j := range h {
		for i := range w {
			if z := p.ZM(j); z < 0.02 {
				p.Kind[j*w+i] = SideGround
			} else if math.Abs(p.XM(i)) < 0.12 && z < 2.5 {
				p.Kind[j*w+i] = SideWood
			}
		}
	}
	rng := rand.New(rand.NewPCG(5, 5))
	for c := range 150 {
		a, r := 2*math.Pi*rng.Float64(), math.Sqrt(rng.Float64())
		x, z := 1.4*r*math.Cos(a), 2.5+1.5*r*math.Sin(a)
		for range 14 {
			q := fit.At(SidePoint{x + 0.12*rng.NormFloat64(), z + 0.12*rng.NormFloat64()})
			if keep(c) {
				p.disc(q, 0.05)
			}
		}
	}
	p.misclass(rand.New(rand.NewPCG(noise, 1)))
	return p
}

func (p *SidePlane) disc(q SidePoint, r float64) {
	for j := p.Row(q.ZM - r); j <= p.Row(q.ZM+r); j++ {
		for i := p.Column(q.XM - r); i <= p.Column(q.XM+r); i++ {
			if math.Hypot(p.XM(i)-q.XM, p.ZM(j)-q.ZM) <= r {
				p.Kind[j*p.W+i] = SideFoliage
			}
		}
	}
}

func (p *SidePlane) misclass(rng *rand.Rand) {
	for i, k := range p.Kind {
		z := p.ZM(i / p.W)
		crown := z > 0.9 && math.Hypot(p.XM(i%p.W)/1.5, (z-2.5)/1.6) < 1
		switch {
		case k == SideFoliage && rng.Float64() < leafAsOpen:
			p.Kind[i] = SideSky
		case k != SideFoliage && crown && rng.Float64() < openAsLeaf:
			p.Kind[i] = SideFoliage
		}
	}
}

func treeOf(t *testing.T, p *SidePlane) *SideTree {
	t.Helper()
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

func compareDrawn(t *testing.T, keep func(int) bool, fit SideFit) *SideChange {
	t.Helper()
	before := treeOf(t, drawnCrown(func(int) bool { return true }, 1, plainFit()))
	c, err := CompareSides(before, treeOf(t, drawnCrown(keep, 2, fit)), nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A quarter of the clusters taken at random: 35 or so of 150 leave a spread of
// sqrt(.25 x .75/150) = 3.5 points, and the error of one drawing is within three of it.
func TestLeafRemovedOfADrawnCrown(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	gone, n := map[int]bool{}, 0
	for c := range 150 {
		if rng.Float64() < 0.25 {
			gone[c] = true
			n++
		}
	}
	truth := float64(n) / 150
	c := compareDrawn(t, func(k int) bool { return !gone[k] }, plainFit())
	if e := c.LeafRemoved; math.Abs(e.Value-truth) > 3*0.035 || e.Low95 > truth || e.High95 < truth || e.Low95 <= 0 {
		t.Errorf("removed %.3f (%.3f to %.3f), truth %.3f", e.Value, e.Low95, e.High95, truth)
	}
}

// The same crown classed anew: no change; and none where the second board stood 8
// cm off and leaned by a hundredth.
func TestNoChangeIsClaimedOnADrawnCrown(t *testing.T) {
	all := func(int) bool { return true }
	for _, fit := range []SideFit{plainFit(), {StretchX: 1.02, StretchZ: 0.98, Lean: 0.01, ShiftXM: 0.06, ShiftZM: 0.05}} {
		c := compareDrawn(t, all, fit)
		for name, e := range map[string]Estimate{"leaf": c.LeafRemoved, "outline": c.OutlineRemoved} {
			if e.Low95 > 0 || e.High95 < 0 || math.Abs(e.Value) > 0.05 {
				t.Errorf("%s removed %.3f (%.3f to %.3f) of an untouched crown", name, e.Value, e.Low95, e.High95)
			}
		}
		at, want := c.Fit.At(SidePoint{0.5, 3}), fit.At(SidePoint{0.5, 3})
		if d := math.Hypot(at.XM-want.XM, at.ZM-want.ZM); d > 0.05 {
			t.Errorf("laid %.3f m off", d)
		}
	}
}

// The top off at 3.3 m: the outline over it is gone. The ellipse's share there is
// (acos u - u sqrt(1-u2))/pi with u = .8/1.6 = .1955; the closing and ragged edges
// move it by some points.
func TestOutlineRemovedOfADrawnCrown(t *testing.T) {
	before := treeOf(t, drawnCrown(func(int) bool { return true }, 1, plainFit()))
	cut := drawnCrown(func(int) bool { return true }, 1, plainFit())
	for i := range cut.Kind {
		if cut.ZM(i/cut.W) > 3.3 {
			cut.Kind[i] = SideSky
		}
	}
	c, err := CompareSides(before, treeOf(t, cut), nil)
	if err != nil {
		t.Fatal(err)
	}
	const u = 0.5
	truth := (math.Acos(u) - u*math.Sqrt(1-u*u)) / math.Pi
	if e := c.OutlineRemoved; math.Abs(e.Value-truth) > 0.06 || e.Low95 <= 0 {
		t.Errorf("outline removed %.3f (%.3f to %.3f), truth about %.3f", e.Value, e.Low95, e.High95, truth)
	}
	top := before.heightQuantile(1 - sizeTopTrim)
	if e, truth := c.HeightM, 3.3-top; !c.SizeKnown || math.Abs(e.Value-before.depthScale()*truth) > 0.05 || e.High95 >= 0 {
		t.Errorf("height changed by %.2f m (%.2f to %.2f), truth %.2f on the plane", e.Value, e.Low95, e.High95, truth)
	}
	if e := c.WidthM; e.Low95 > 0 || e.High95 < 0 {
		t.Errorf("width changed by %.2f m though only the top came off", e.Value)
	}
}

func TestFitSpots(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	want := SideFit{StretchX: 1.01, StretchZ: 0.99, Lean: -0.02, ShiftXM: 0.05, ShiftZM: -0.04}
	var first, second []SidePoint
	for i := range 90 {
		p := SidePoint{3*rng.Float64() - 1.5, 1 + 3*rng.Float64()}
		q := want.At(p)
		q.XM, q.ZM = q.XM+0.01*rng.NormFloat64(), q.ZM+0.01*rng.NormFloat64()
		if i%10 == 0 { // one in ten is another leaf
			q.XM += 0.3 * rng.Float64()
		}
		first, second = append(first, p), append(second, q)
	}
	got, ok := FitSpots(first, second)
	at, to := got.At(SidePoint{1, 4}), want.At(SidePoint{1, 4})
	if d := math.Hypot(at.XM-to.XM, at.ZM-to.ZM); !ok || d > 0.02 {
		t.Errorf("fitted %v, %.3f m off", ok, d)
	}
	if _, ok := FitSpots(first[:spotsForFit-1], second[:spotsForFit-1]); ok {
		t.Error("too few spots made a fit")
	}
	back := want.inverse().At(want.At(SidePoint{1, 4}))
	near(t, "there and back, x", back.XM, 1, 1e-3)
	near(t, "there and back, z", back.ZM, 4, 1e-9)
}

// Floors at one sun: r = 1 - ln .12/ln .05 = .2922; where the sun moved by 8
// degrees the floor tells no leaf, by 20 nothing.
func TestCompareFloors(t *testing.T) {
	at := func(p, zenith float64) FloorVisit {
		return FloorVisit{Share: Estimate{Value: p, Low95: p - .01, High95: p + .01}, ZenithDeg: zenith, AreaM2: 4}
	}
	c, err := CompareFloors(at(.05, 20), at(.12, 20))
	if err != nil || !c.LeafKnown {
		t.Fatal(c, err)
	}
	near(t, "change", c.Share.Diff.Value, .07, 1e-9)
	near(t, "leaf", c.LeafRemoved.Value, 1-math.Log(.12)/math.Log(.05), 1e-9)
	if c.LeafRemoved.Low95 > 0 {
		t.Error("one spot of 4 m2 cannot tell a cut of 29 %")
	}
	if c, _ := CompareFloors(at(.05, 20), at(.12, 28)); c.LeafKnown || !c.SunMoved {
		t.Errorf("8 degrees: %+v", c)
	}
	if _, err := CompareFloors(at(.05, 20), at(.12, 40)); err == nil {
		t.Error("20 degrees of sun went through")
	}
}

func TestLeafRemovedFromBoth(t *testing.T) {
	a, b := Estimate{Value: .2, Low95: .1, High95: .29}, Estimate{Value: .3, Low95: -.2, High95: .6}
	e, ok := LeafRemoved(a, b)
	if !ok || e.Value < .2 || e.Value > .22 || e.High95-e.Low95 > a.High95-a.Low95 {
		t.Errorf("%+v", e)
	}
	if _, ok := LeafRemoved(); ok {
		t.Error("nothing gave a share")
	}
}
