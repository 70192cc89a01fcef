package pipeline

import (
	"math"
	"os"
	"testing"
	"time"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

func number(q orchard.Quantity, v, half float64) orchard.Measurement {
	return measured(q, "m", metrics.Estimate{Value: v, Low95: v - half, High95: v + half})
}

// A crown from 1 to 5 m under a sun 48.4 degrees from overhead in the north: the
// trade notes' rule puts its middle's shade 3 tan(48.4) = 3.38 m to the south.
func TestShadeShift(t *testing.T) {
	tree := &orchard.TreeResult{Measurements: []orchard.Measurement{number(orchard.HeightM, 5, .2), number(orchard.CrownBaseM, 1, .2)}}
	floor := &orchard.Record{Kind: orchard.Floor, Status: orchard.Measured, Path: "f.jpg",
		Measurements: []orchard.Measurement{number(orchard.SunElevationDeg, 41.6, .5), number(orchard.SunAzimuthDeg, 2, .5)}}
	m, ok := shadeShift(tree, []*orchard.Record{floor})
	if !ok || math.Abs(*m.Value-3*math.Tan(48.4*math.Pi/180)) > 1e-9 || len(m.Flags) != 1 {
		t.Fatalf("%v %+v", ok, m)
	}
	if want := "its shade fell 3.4 m to the south: lay the board that far from the trunk on that side, or come when the sun is higher"; m.Flags[0] != want {
		t.Errorf("%q", m.Flags[0])
	}
	if !(*m.Low95 < *m.Value && *m.Value < *m.High95) {
		t.Errorf("interval %.2f to %.2f", *m.Low95, *m.High95)
	}
	if _, ok := shadeShift(&orchard.TreeResult{}, []*orchard.Record{floor}); ok {
		t.Error("a shift without a crown")
	}
}

// The real photos give an evenness where they give a share of two lights, and the
// floor of an alley keeps to its own stratum.
func TestStrata(t *testing.T) {
	data, err := os.ReadFile("../../testdata/rendered/practice_floor_00.jpg")
	if err != nil {
		t.Fatal(err)
	}
	env := Env{Set: DefaultSettings(), Zone: time.UTC, NumbersOnly: true}
	tree, alley := Measure(data, orchard.Floor, env), Measure(data, orchard.AlleyFloor, env)
	if tree.Status != orchard.Measured || alley.Status != orchard.Measured {
		t.Fatalf("%s %s; %s %s", tree.Status, tree.Reason, alley.Status, alley.Reason)
	}
	find := func(o Outcome, q orchard.Quantity) *orchard.Measurement {
		r := orchard.Record{Measurements: o.Measurements}
		return r.Find(q)
	}
	clump, dark := find(tree, orchard.FloorClumping), find(tree, orchard.DarkFloorShare)
	if clump == nil || clump.Value == nil || *clump.Value <= 0 || *clump.Value > 1 {
		t.Errorf("clumping %+v, want one between 0 and 1", clump)
	}

	if dark == nil || dark.Value == nil || *dark.Value < 0 || *dark.Value > 1 {
		t.Errorf("dark share %+v", dark)
	}
	if len(alley.Measurements) != 1 || alley.Measurements[0].Quantity != orchard.AlleySunlit {
		t.Errorf("the alley's floor gave %+v", alley.Measurements)
	} else if share := find(tree, orchard.SunlitFraction); *share.Value != *alley.Measurements[0].Value {
		t.Errorf("one photo, two shares: %.4f, %.4f", *share.Value, *alley.Measurements[0].Value)
	}
}
