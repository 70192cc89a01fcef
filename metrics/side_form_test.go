package metrics

import (
	"math"
	"testing"
)

// outlineTree paints a flat crown (no depth: seen from afar) of given left and
// right ends at each height.
func outlineTree(ends func(z float64) (left, right float64, ok bool)) *SidePlane {
	const cell = 0.01
	p := &SidePlane{W: 900, H: 800, CellM: cell, LeftM: -4.5, CameraHeightM: 0.3, DistanceM: 60, RowSpacingM: 3000}
	p.Kind = make([]SideKind, p.W*p.H)
	for j := range p.H {
		l, r, ok := ends(p.ZM(j))
		for i := range p.W {
			k := SideSky
			if x := p.XM(i); ok && x >= l && x <= r {
				k = SideFoliage
			}
			p.Kind[j*p.W+i] = k
		}
	}
	return p
}

func trapezoid(h Hedge) func(float64) (float64, float64, bool) {
	return func(z float64) (float64, float64, bool) {
		if z < h.SkirtM || z > h.HeightM {
			return 0, 0, false
		}
		w := h.BottomM + (h.TopM-h.BottomM)*(z-h.SkirtM)/(h.HeightM-h.SkirtM)
		return -w / 2, w / 2, true
	}
}

func formOf(t *testing.T, ends func(float64) (float64, float64, bool)) (SideForm, *SideTree) {
	t.Helper()
	tree, err := FindSideTree(outlineTree(ends))
	if err != nil {
		t.Fatal(err)
	}
	f, ok := tree.Form()
	if !ok {
		t.Fatal("no form")
	}
	return f, tree
}

// Trade sheet 6.6, tapered hedges: 12.53, 15.52, 14.04 degrees from the
// vertical; a crown that widens upward leans out by as much. The 2 % trimmed on
// each side take 4 % of the slope off, or up to three times that: a painted hedge ends
// at once, and its rim, half covered, counts for a third of its middle (ln 2 / 0.5 to
// -ln 0.02 / 0.98), so that the trims reach further there.
func TestFaceAngle(t *testing.T) {
	for _, c := range []struct {
		h   Hedge
		deg float64
	}{
		{Hedge{5, .5, 5, 3}, 12.53}, {Hedge{5, .5, 6.5, 4}, 15.52}, {Hedge{4.5, .5, 4.5, 2.5}, 14.04},
		{Hedge{5, .5, 3, 5}, -12.53},
	} {
		f, _ := formOf(t, trapezoid(c.h))
		if off := c.deg - f.FaceDeg; off/c.deg < 0 || off/c.deg > 3*0.04 {
			t.Errorf("%+v: %.2f degrees, want %.2f", c.h, f.FaceDeg, c.deg)
		}
		if want := c.h.HeightM; c.h.TopM > c.h.BottomM && math.Abs(f.WidestM-want) > 0.5 {
			t.Errorf("%+v: widest at %.2f m, want near %.2f", c.h, f.WidestM, want)
		}
	}
}

// The names a pruner gives to forms, on outlines that are so by construction.
func TestFormsAreNamed(t *testing.T) {
	egg := func(z float64) (float64, float64, bool) {
		u := (z - 3) / 2.2
		w := 1.6 * math.Sqrt(math.Max(0, 1-u*u))
		return -w, w, w > 0
	}
	cone := func(z float64) (float64, float64, bool) {
		w := 1.6 * (5 - z) / 4.2
		return -w, w, z > 0.8 && w > 0
	}
	mushroom := func(z float64) (float64, float64, bool) { // 0.7 m wide a side, then 1.6
		if z < 2.6 {
			return -0.7, 0.7, z > 0.8
		}
		return egg(z)
	}
	for _, c := range []struct {
		name           string
		ends           func(float64) (float64, float64, bool)
		flat, shoulder bool
		widest         float64
	}{
		{"ellipsoid", egg, false, false, 3},
		{"cone", cone, false, false, 0.8},
		{"hedge", trapezoid(Hedge{5, .5, 3.2, 3}), true, false, 0},
		{"mushroom", mushroom, false, true, 3},
		{"box", trapezoid(Hedge{4, .5, 3, 3}), true, false, 0},
	} {
		f, _ := formOf(t, c.ends)
		if f.FlatTop != c.flat || f.ShoulderWide != c.shoulder || f.OpenCentre {
			t.Errorf("%s: flat %v, shoulders %v, open %v; want %v, %v, false", c.name, f.FlatTop, f.ShoulderWide, f.OpenCentre, c.flat, c.shoulder)
		}
		// A cone is within 5 % of its widest over 0.2 m: the middle lies 0.1 m up,
		// the step of 0.1 m beside it.
		if c.widest > 0 && math.Abs(f.WidestM-c.widest) > 0.2 {
			t.Errorf("%s: widest at %.2f m, want %.2f", c.name, f.WidestM, c.widest)
		}
	}
}

// A crown cut open from above: a V of 1.2 m at the top, 1.5 m deep.
func TestOpenCentreIsSeen(t *testing.T) {
	p := outlineTree(trapezoid(Hedge{5, .5, 3, 3.4}))
	for j := range p.H {
		for i := range p.W {
			if z := p.ZM(j); z > 3.5 && math.Abs(p.XM(i)) < 0.6*(z-3.5)/1.5 {
				p.Kind[j*p.W+i] = SideSky
			}
		}
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	if f, _ := tree.Form(); !f.OpenCentre {
		t.Error("a V of 1.2 m at the top is not seen")
	}
}

// Two windows of 0.8 and 1.1 m and a hole of 0.4 m: two windows, where they are.
func TestWindows(t *testing.T) {
	p := outlineTree(trapezoid(Hedge{5, .5, 4, 4}))
	holes := []SideGap{{SidePoint{-1, 2}, 1.1}, {SidePoint{1, 3.5}, 0.8}, {SidePoint{1, 1.5}, 0.4}}
	for i := range p.Kind {
		for _, h := range holes {
			if math.Hypot(p.XM(i%p.W)-h.At.XM, p.ZM(i/p.W)-h.At.ZM) < h.DiameterM/2 {
				p.Kind[i] = SideSky
			}
		}
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	got := tree.Windows()
	if len(got) != 2 {
		t.Fatalf("%d windows %v, want 2", len(got), got)
	}
	for k, g := range got {
		if w := holes[k]; math.Hypot(g.At.XM-w.At.XM, g.At.ZM-w.At.ZM) > 0.05 || math.Abs(g.DiameterM-w.DiameterM) > 0.05 {
			t.Errorf("window %v, want %v", g, w)
		}
	}
}
