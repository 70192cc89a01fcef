package metrics

import (
	"slices"
	"testing"
)

// By hand, parts of at most 40 and 60 points: a 40+0, b 0+36, c 20+12, d 5+5, e 0+31,
// so a, b, c lead. With half of the first part: b 36, e 31, c 22, a 20: e for a. With
// half as much again: a 60, c 42, b 36: the same three.
func TestSwayByHand(t *testing.T) {
	tree := func(key string, first, second float64) TreeScore {
		return TreeScore{Key: key, Ranked: true, Parts: []ScorePart{{Name: "floor light", Points: first, Weight: 40}, {Name: "height", Points: second, Weight: 60}}}
	}
	scores := []TreeScore{tree("a", 40, 0), tree("b", 0, 36), tree("c", 20, 12), tree("d", 5, 5), tree("e", 0, 31), {Key: "f"}}
	got := SwayWeights(scores)
	if len(got) != 4 {
		t.Fatalf("%d rows, want 4: two parts, down and up", len(got))
	}
	down := got[0]
	near(t, "weight", down.Weight, 25, 1e-9) // 20 of 80
	if !slices.Equal(down.Top, []string{"b", "e", "c"}) || !slices.Equal(down.In, []string{"e"}) || !slices.Equal(down.Out, []string{"a"}) {
		t.Errorf("floor light by half: %+v", down)
	}
	if up := got[1]; len(up.In) != 0 || up.Factor != 1.5 {
		t.Errorf("floor light half as much again: %+v", up)
	}
	if SwayWeights(nil) != nil || SwayWeights([]TreeScore{{Key: "x"}}) != nil {
		t.Error("no ranked tree gave a table")
	}
}
