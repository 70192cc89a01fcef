package scene

import (
	"math"
	"testing"
)

func TestTreeIsAsAsked(t *testing.T) {
	spec := TreeSpec{HeightM: 5, BaseM: 1, AlongM: 2.2, AcrossM: 1.8, Form: Round, LeafAreaM2: 50, Seed: 2}
	tree := Grow(spec)
	// One cluster more than asked at most: 32 leaves of the largest size, with hue.
	most := leavesPerCluster * LeafAreaM2(halfLengthMaxM, widthShare*halfLengthMaxM)
	if a := tree.LeafAreaM2(); a < 50-1e-6 || a > 50+most {
		t.Errorf("leaf area %.2f m2, want 50 to %.2f", a, 50+most)
	}
	// Clusters keep their radius inside the outline; a blade reaches its half
	// length beyond.
	if h := tree.HeightM(); h > spec.HeightM+halfLengthMaxM || h < spec.HeightM-1 {
		t.Errorf("height %.2f m for a tree of 5", h)
	}
	if w := tree.WidthM(); w > 2*(spec.AlongM+halfLengthMaxM) {
		t.Errorf("width %.2f m along the row for a half width of 2.2", w)
	}
}

func TestPruningTakesWholeClusters(t *testing.T) {
	tree := Grow(TreeSpec{HeightM: 5, BaseM: 1, AlongM: 2, AcrossM: 2, Form: Hedge, LeafAreaM2: 40, Seed: 2})
	lower := tree.Pruned(func(p Vec3) bool { return p.Z > 3.5 })
	if tree.HeightM() < 4 {
		t.Error("pruning a copy changed the tree")
	}
	// A cluster with its middle under 3.5 m reaches at most its radius and a blade above.
	if h, most := lower.HeightM(), 3.5+clusterRadiusM+halfLengthMaxM; h > most {
		t.Errorf("height %.2f m after topping at 3.5, want under %.2f", h, most)
	}
	for _, f := range NewStand(1, Litter, lower).faces {
		if most := 3.5 + 2*clusterRadiusM; f.kind == woodFace && f.centre.Z > most {
			t.Fatalf("wood at %.2f m stands out of a tree topped at 3.5", f.centre.Z)
		}
	}
	none := tree.Pruned(func(Vec3) bool { return true })
	if a := none.LeafAreaM2(); a != 0 {
		t.Errorf("leaf area %g after all was cut", a)
	}
	if h := none.HeightM(); !math.IsNaN(h) {
		t.Errorf("a bare tree has the foliage height %g, want NaN", h)
	}
}

// Two hedges with their middles 6 m apart and faces 1.5 m from them leave 3 m, less
// the blades that stand out and more what the shaken clusters leave open.
func TestClearWidth(t *testing.T) {
	hedge := func(x float64) *Tree {
		return Grow(TreeSpec{At: Vec3{x, 0, 0}, HeightM: 4, BaseM: 0.5, AlongM: 2, AcrossM: 1.5, Form: Hedge, LeafAreaM2: 90, Seed: uint64(x)})
	}
	s := TreesOnly(hedge(0), hedge(6))
	got := s.ClearWidthM(Vec3{3, 0, 0}, 0)
	if got < 3-2*halfLengthMaxM || got > 3+2*clusterRadiusM {
		t.Errorf("clear width %.2f m, want about 3", got)
	}
	if w := TreesOnly(hedge(0)).ClearWidthM(Vec3{3, 0, 0}, 0); !math.IsNaN(w) {
		t.Errorf("an alley with one row is %g m wide, want NaN", w)
	}
}
