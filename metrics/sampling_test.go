package metrics

import (
	"math"
	"testing"
)

// The trade notes' table for plus and minus 5 points (calculated), with and
// without the 28 looks of 1 m2 that a tree's floor holds.
func TestLooksNeededWorkedValues(t *testing.T) {
	for _, c := range []struct {
		sd       float64
		n, of28m int
	}{{.05, 4, 4}, {.08, 10, 8}, {.10, 16, 10}, {.12, 23, 13}, {.15, 35, 16}, {.20, 62, 20}} {
		if n, f := LooksNeeded(c.sd, .05, 0), LooksNeeded(c.sd, .05, 28); n != c.n || f != c.of28m {
			t.Errorf("SD %.2f: %d looks, %d of 28; want %d and %d", c.sd, n, f, c.n, c.of28m)
		}
	}
}

// Worked example of the trade notes: four trees, three looks each.
func TestClustersWorkedValues(t *testing.T) {
	c := ClustersOf([][]float64{{.05, .08, .11}, {.18, .22, .20}, {}, {.10, .16, .13}, {.30, .24, .27}})
	for _, v := range []struct {
		what           string
		got, want, tol float64
	}{
		{"mean", c.Mean, .17, 1e-9}, {"ICC", c.ICC, .8950, .5e-4}, {"SE", c.SE, .04143, .5e-5}, {"design effect", c.DesignEffect, 2.790, .5e-3},
	} {
		if math.Abs(v.got-v.want) > v.tol {
			t.Errorf("%s %.5f, want %.4f", v.what, v.got, v.want)
		}
	}
	// t of 3 degrees, 97.5 %: 3.182 (tables).
	if low, high := c.Interval95(); math.Abs((high-low)/2-3.182*.04143) > 1e-4 {
		t.Errorf("interval %.4f to %.4f", low, high)
	}
}

func TestClustersFew(t *testing.T) {
	if c := ClustersOf(nil); c.Trees != 0 || !math.IsNaN(c.SE) {
		t.Errorf("no trees: %+v", c)
	}
	c := ClustersOf([][]float64{{.2, .3}})
	if low, _ := c.Interval95(); !math.IsNaN(low) || c.Mean != .25 {
		t.Errorf("one tree says nothing of the block's spread: %+v", c)
	}
	if c := ClustersOf([][]float64{{.2}, {.3}}); !math.IsNaN(c.ICC) || math.IsNaN(c.SE) {
		t.Errorf("one look a tree: %+v", c)
	}
}

// By t tables: 2.571 for 5 degrees, 2.447 for 6, 2.365 for 7: a spread of .05 wants
// t .05/sqrt(n) <= .05, n >= t^2, which 6 photos (2.571^2 = 6.6) miss and 7 keep.
func TestPhotosNeeded(t *testing.T) {
	d := .05 / math.Sqrt2 // two values that far off their mean have a spread of .05
	if n := PhotosNeeded([]float64{.2 - d, .2 + d}, .05); n != 7 {
		t.Errorf("%d photos, want 7", n)
	}
	if n := PhotosNeeded([]float64{.2, .2}, .05); n != 2 {
		t.Errorf("photos that agree: %d, want 2", n)
	}
	if n := PhotosNeeded([]float64{.2}, .05); n != 1 {
		t.Errorf("one photo: %d", n)
	}
}
