package metrics

import (
	"math"
	"testing"
)

func about(v, half float64) *Estimate { return &Estimate{Value: v, Low95: v - half, High95: v + half} }

// limits are the trade's: 5 m, 2.5 m clear, windows of about 1 m; 90 % filled is our
// score's own target.
func beside(clear *Estimate) []AlleyBeside { return []AlleyBeside{{ClearM: *clear}} }

func limits() CutLimits {
	return CutLimits{HeightM: 5, ClearAlleyM: 2.5, SkirtM: 0.5, DensityFraction: 0.9, WindowM: 1, Dark: true}
}

func kinds(ps []CutPlace) (out []CutKind) {
	for _, p := range ps {
		out = append(out, p.Kind)
	}
	return out
}

func TestNothingKnownAsksForNothing(t *testing.T) {
	if got := WhereToCut(TreeForm{}, limits()); len(got) > 0 {
		t.Errorf("%v", got)
	}
}

func TestGoodTreeAsksForNothing(t *testing.T) {
	f := TreeForm{
		HeightM: about(4.6, .2), CrownBaseM: about(.6, .1), ShoulderM: about(.1, .1), TopToBottom: about(.7, .1),
		DensityMiddleFraction: about(.8, .05), Alleys: beside(about(2.7, .3)),
		Widths: []WidthAt{{1, 3}, {2, 3}, {3, 2.4}, {4, 1.5}},
	}
	if got := WhereToCut(f, limits()); len(got) > 0 {
		t.Errorf("%v", kinds(got))
	}
}

// A post 3 m wide from 0 to 6 m: its sixth over 5 m is a sixth of the outline.
func TestTopOverTheLimit(t *testing.T) {
	f := TreeForm{HeightM: about(6, .3), CrownBaseM: about(0, 0), Widths: []WidthAt{{0.5, 3}, {3, 3}, {5.99, 3}}}
	got := WhereToCut(f, CutLimits{HeightM: 5, SkirtM: 0})
	if len(got) != 1 || got[0].Kind != CutTop || got[0].LowM != 5 || got[0].HighM != 6 || !got[0].Sure {
		t.Fatalf("%+v", got)
	}
	within(t, "excess", got[0].SizeM, 1, 1e-9)
	within(t, "share of the outline", *got[0].OutlineShare, 1.0/6, 0.01) // steps of 5 cm in 6 m: 1 %
	if z, ok := f.HeightOver(0.25); !ok || math.Abs(z-4.5) > 0.06 {      // a quarter of 6 m, in steps of 5 cm
		t.Errorf("a quarter of the post lies over %.2f m, want 4.5", z)
	}
	f.HeightM = about(5.1, .01)
	if got := WhereToCut(f, CutLimits{HeightM: 5}); len(got) > 0 {
		t.Errorf("shoot tips over the limit call for a saw: %+v", got)
	}
	f.HeightM = about(5.3, .4)
	if got := WhereToCut(f, CutLimits{HeightM: 5}); len(got) != 1 || got[0].Sure {
		t.Errorf("a height whose interval holds the limit is called sure: %+v", got)
	}
}

// A mushroom: 2 m wide up to 3 m, 4 m wide from there to 6 m. The bottom third ends at
// 2 m, the overhang is 1 m a side from 3 m up: 2 x 3 of 2 x 3 + 4 x 3 m2.
func TestShoulderIsFoundWhereItHangsOver(t *testing.T) {
	f := TreeForm{
		HeightM: about(6, .2), CrownBaseM: about(0, 0), ShoulderM: about(1, .2),
		Widths: []WidthAt{{0.5, 2}, {2.99, 2}, {3.01, 4}, {5.99, 4}},
	}
	got := WhereToCut(f, CutLimits{HeightM: 7})
	if len(got) != 1 || got[0].Kind != CutShoulder || !got[0].Sure {
		t.Fatalf("%+v", got)
	}
	within(t, "from", got[0].LowM, 3.01, 1e-9)
	within(t, "to", got[0].HighM, 5.99, 1e-9)
	within(t, "share of the outline", *got[0].OutlineShare, 6.0/18, 0.02)
}

func TestAlleyIsSharedByTwoRows(t *testing.T) {
	got := WhereToCut(TreeForm{Alleys: beside(about(1.5, .3))}, limits())
	if len(got) != 1 || got[0].Kind != CutAlley || !got[0].Sure {
		t.Fatalf("%+v", got)
	}
	within(t, "back by", got[0].SizeM, 0.5, 1e-9) // 1 m short, half from each row
	if got := WhereToCut(TreeForm{Alleys: beside(about(2.45, .01))}, limits()); len(got) > 0 {
		t.Errorf("5 cm call for a cut: %+v", got)
	}
	if got := WhereToCut(TreeForm{Alleys: beside(about(-0.4, .3))}, limits()); got[0].SizeM > 1.25 {
		t.Errorf("a closed alley asks for %g m a side, 1.25 opens it", got[0].SizeM)
	}
}

func TestWindowOnlyInADarkFullCrown(t *testing.T) {
	f := TreeForm{HeightM: about(4.5, .2), CrownBaseM: about(.6, .1), DensityMiddleFraction: about(.97, .02)}
	got := WhereToCut(f, limits())
	if len(got) != 1 || got[0].Kind != CutWindow || got[0].SizeM != 1 {
		t.Fatalf("%+v", got)
	}
	within(t, "middle third from", got[0].LowM, 0.6+3.9/3, 1e-9)
	within(t, "to", got[0].HighM, 0.6+2*3.9/3, 1e-9)
	tall := f
	tall.HeightM = about(9, .2)
	for _, p := range WhereToCut(tall, limits()) {
		if p.Kind == CutWindow && p.HighM > 5 {
			t.Errorf("a window up to %.1f m where the top comes off at 5 m", p.HighM)
		}
	}
	light := limits()
	light.Dark = false
	if got := WhereToCut(f, light); len(got) > 0 {
		t.Errorf("over a light floor: %v", kinds(got))
	}
	// A crown that is not full, but whose widest gap is a hand's breadth, is shut too.
	open := f
	open.DensityMiddleFraction, open.LargestGapM = about(.85, .02), about(.3, .1)
	if got := WhereToCut(open, limits()); len(got) != 1 || got[0].Kind != CutWindow || !got[0].Sure {
		t.Errorf("a dark crown without a gap: %+v", got)
	}
	f.LargestGapM = about(1.2, .1)
	if got := WhereToCut(f, limits()); len(got) > 0 {
		t.Errorf("a tree with its window: %v", kinds(got))
	}
}

func TestSkirt(t *testing.T) {
	got := WhereToCut(TreeForm{CrownBaseM: about(0.2, .1)}, limits())
	if len(got) != 1 || got[0].Kind != CutSkirt || !got[0].Sure || math.Abs(got[0].SizeM-0.3) > 1e-9 {
		t.Errorf("%+v", got)
	}
}

func TestOrderOfKinds(t *testing.T) {
	f := TreeForm{
		HeightM: about(7, .3), CrownBaseM: about(.2, .1), ShoulderM: about(.8, .2), Alleys: beside(about(1, .3)),
		DensityMiddleFraction: about(.98, .01), Widths: []WidthAt{{1, 3}, {2, 3}, {4, 5}, {6, 3}},
	}
	got := kinds(WhereToCut(f, limits()))
	want := []CutKind{CutTop, CutShoulder, CutAlley, CutWindow, CutSkirt}
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%v, want %v", got, want)
		}
	}
}

// The drum is full everywhere but for a hole painted into it: the window must lie
// whole in the crown, in its band, and off the hole.
func TestDensestKeepsOffTheGap(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	paint(p, 0.5, 1.3, 2.4, 3.2, SideSky)
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	got := tree.Densest(2, 3.4, 1, 2)
	if len(got) == 0 {
		t.Fatal("no window fits in a crown of 2.4 m")
	}
	if at := got[0]; at.XM > 0.45 || at.XM < 0.4-1.5 || at.ZM < 2 || at.ZM > 3.4 {
		t.Errorf("window at %+v, the gap is from x 0.5 to 1.3", at)
	}
	if len(tree.Densest(2, 3.4, 4, 1)) > 0 {
		t.Error("a window of 4 m fits in a crown of 2.4 m")
	}
}
