package metrics

import (
	"math"
	"testing"
)

func isNear(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.4f, want %.4f", what, got, want)
	}
}

// Trade sheet 6.6: the published example 4.8 x 5.5 / 7.4 and two calculated.
func TestTreeRowVolume(t *testing.T) {
	isNear(t, "4.8 x 5.5 / 7.4", TreeRowVolumeM3Ha(4.8, 5.5, 7.4), 35676, 0.5)
	isNear(t, "5 x 6.5 / 9", TreeRowVolumeM3Ha(5, 6.5, 9), 36111, 0.5)
	isNear(t, "4.5 x 5 / 8", TreeRowVolumeM3Ha(4.5, 5, 8), 28125, 0.5)
	if v := TreeRowVolumeM3Ha(5, 6, 0); !math.IsNaN(v) {
		t.Errorf("without a row's distance: %g, want none", v)
	}
}

// Trade sheet 6.6, the table of tapered hedges.
func TestHedges(t *testing.T) {
	for _, c := range []struct {
		h                                     Hedge
		row                                   float64
		slant, exposed, wall, volume, angleDg float64
	}{
		{Hedge{5, .5, 5, 3}, 8, 4.6098, 15274, 11250, 22500, 12.53},
		{Hedge{5, .5, 6.5, 4}, 9, 4.6704, 14823, 10000, 26250, 15.52},
		{Hedge{4.5, .5, 4.5, 2.5}, 7, 4.1231, 15352, 11429, 20000, 14.04},
	} {
		isNear(t, "slant", c.h.SlantM(), c.slant, 0.00005)
		isNear(t, "exposed", c.h.ExposedM2Ha(c.row), c.exposed, 1)
		isNear(t, "leaf wall", LeafWallAreaM2Ha(c.h.HeightM, c.h.SkirtM, c.row), c.wall, 0.5)
		isNear(t, "volume", c.h.VolumeM3Ha(c.row), c.volume, 0.5)
		isNear(t, "angle", c.h.FaceAngleDeg(), c.angleDg, 0.005)
	}
}

// Trade sheet 6.6: dark core of crowns by semi-axes, of hedges by width x height.
func TestDarkCore(t *testing.T) {
	for _, c := range [][4]float64{
		{1, 1, 2, 0}, {2, 2, 2, .1250}, {2.5, 2.5, 2.5, .2160}, {3, 3, 2.5, .2667}, {3.5, 3.5, 3, .3401}, {4.5, 4.5, 4.5, .4705},
	} {
		isNear(t, "crown", DarkCoreCrown(c[0], c[1], c[2]), c[3], 0.00006)
	}
	for _, c := range [][3]float64{{3, 4, .250}, {4, 4.5, .389}, {5, 4.5, .467}, {6, 5, .533}} {
		isNear(t, "hedge", DarkCoreHedge(c[0], c[1]), c[2], 0.0005)
	}
}

// Trade sheet 6.6: sphere 2.5 m 65.450, half of it 32.725; a 3, b 3.5, c 2.5
// from -2.0 to 2.5: 106.877, the whole 109.956.
func TestEllipsoidVolume(t *testing.T) {
	isNear(t, "sphere", EllipsoidM3(2.5, 2.5, 2.5, -9, 9), 65.450, 0.0006)
	isNear(t, "half", EllipsoidM3(2.5, 2.5, 2.5, 0, 9), 32.725, 0.0006)
	isNear(t, "cut", EllipsoidM3(3, 3.5, 2.5, -2, 2.5), 106.877, 0.0006)
	isNear(t, "whole", EllipsoidM3(3, 3.5, 2.5, -2.5, 2.5), 109.956, 0.0006)
}
