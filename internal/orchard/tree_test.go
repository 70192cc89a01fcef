package orchard

import (
	"math"
	"strings"
	"testing"
)

func TestTreesInWalkOrder(t *testing.T) {
	trees := smallOrchard(t).Trees()
	if len(trees) != 12+11+10+4+4 {
		t.Fatalf("%d trees", len(trees))
	}
	for i, want := range map[int]TreeID{0: {"b1", 1, 1}, 12: {"b1", 2, 1}, 15: {"b1", 2, 4}, 16: {"b1", 2, 6}, 33: {"North-2", 7, 1}, 40: {"North-2", 9, 4}} {
		if trees[i] != want {
			t.Errorf("tree %d is %v, want %v", i, trees[i], want)
		}
	}
}

func TestResolve(t *testing.T) {
	o := smallOrchard(t)
	if got, why := o.Resolve(TreeID{"NORTH_2", 9, 4}); why != "" || got.Block != "North-2" {
		t.Errorf("got %v %s", got, why)
	}
	for id, say := range map[TreeID]string{
		{"b9", 1, 1}:       `no block "b9" (it has b1, North-2)`,
		{"b1", 4, 1}:       "no row 4",
		{"b1", 3, 11}:      "trees 1 to 10, not 11",
		{"b1", 1, 0}:       "trees 1 to 12, not 0",
		{"b1", 2, 5}:       "listed as missing",
		{"North-2", 8, 1}:  "no row 8",
		{"b1", -1, 1}:      "no row -1",
		{"north-2", 7, 99}: "trees 1 to 4",
	} {
		if _, why := o.Resolve(id); !strings.Contains(why, say) || o.Has(id) {
			t.Errorf("%v: %q, want %q", id, why, say)
		}
	}
}

// TestDegreeLengths checks the plane against the lengths of one degree on WGS 84
// in common tables (metres, from memory: latitude 110 574 and 111 132, longitude
// 111 320 and 78 847 at 0 and 45 degrees), good to the metre they are given to.
func TestDegreeLengths(t *testing.T) {
	for _, c := range []struct{ lat, north, east float64 }{{0, 110574, 111320}, {45, 111132, 78847}} {
		p := LatLon{c.lat, 20}
		n, e := p.Moved(c.north, 0), p.Moved(0, c.east)
		if math.Abs(n.LatDeg-c.lat-1) > 1/c.north || math.Abs(e.LonDeg-21) > 1/c.east {
			t.Errorf("at %g: %g m north is %.6f, %g m east %.6f degrees, want 1", c.lat, c.north, n.LatDeg-c.lat, c.east, e.LonDeg-20)
		}
	}
	if got := (LatLon{0, 179.9999}).Moved(0, 100).LonDeg; got > -179.99 {
		t.Errorf("over the date line: %g", got)
	}
}

func TestPosition(t *testing.T) {
	// With rows north: tree 3 of row 2 is 12 m north and 9 m east of tree 1 of
	// row 1; at 45 degrees a metre is 1/111132 and 1/78847 degrees (as above).
	const north, east = 1 / 111132.0, 1 / 78847.0
	for _, c := range []struct {
		name, old, new string
		id             TreeID
		n, e           float64
	}{
		{"first", "", "", TreeID{"b1", 1, 1}, 0, 0},
		{"north", "", "", TreeID{"b1", 2, 3}, 12, 9},
		{"east", "row_direction_deg = 0", "row_direction_deg = 90", TreeID{"b1", 2, 3}, -9, 12},
		{"left", "row_direction_deg = 0", "row_direction_deg = 0\nnext_row_left = true", TreeID{"b1", 2, 3}, 12, -9},
		{"gap in the row numbers", "rows = 3", "rows = [6, 4, 8]", TreeID{"b1", 8, 1}, 0, 36},
	} {
		text := strings.Replace(small, c.old, c.new, 1)
		if c.name == "gap in the row numbers" {
			text = strings.Replace(text, `missing = ["r02-t05"]`, "", 1)
		}
		o, err := Parse(FileName, []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		lat, lon, ok := o.Position(c.id)
		n, e := (lat-45)/north, (lon-10)/east
		// 1 cm: the table's rounding over 40 m is well below it.
		if !ok || math.Abs(n-c.n) > 0.01 || math.Abs(e-c.e) > 0.01 {
			t.Errorf("%s: %.3f m north %.3f m east %t, want %g %g", c.name, n, e, ok, c.n, c.e)
		}
	}
	o := smallOrchard(t)
	if _, _, ok := o.Position(TreeID{"North-2", 7, 1}); ok {
		t.Error("a block without a first tree's place gives one")
	}
	if _, _, ok := o.Position(TreeID{"b1", 2, 5}); ok {
		t.Error("a missing tree has a place")
	}
}
