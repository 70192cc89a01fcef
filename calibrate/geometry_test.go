package calibrate

import (
	"errors"
	"math"
	"testing"
)

// Four-point check of the project's trade notes, section 4.1, worked by hand.
func TestHomographyFourPoints(t *testing.T) {
	from := []Pixel{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	to := []Pixel{{0, 0}, {2000, 0}, {1600, 1000}, {400, 1000}}
	h, err := Homography(from, to)
	if err != nil {
		t.Fatal(err)
	}
	want := Mat3{{2000, 666.6667, 0}, {0, 1666.6667, 0}, {0, 0.6666667, 1}}
	for i := range 3 {
		for j := range 3 {
			near(t, "H", h[i][j], want[i][j], 5.1e-5)
		}
	}
	mid := h.Apply(Pixel{0.5, 0.5})
	near(t, "middle x", mid.X, 1000, 1e-6)
	near(t, "middle y", mid.Y, 625, 1e-6)
}

func TestHomographyRefusesPointsInLine(t *testing.T) {
	line := []Pixel{{0, 0}, {1, 1}, {2, 2}, {3, 3}}
	if _, err := Homography(line, line); !errors.Is(err, ErrDegenerate) {
		t.Errorf("points in line: %v", err)
	}
	if _, err := Homography(line[:3], line[:3]); !errors.Is(err, ErrDegenerate) {
		t.Errorf("three points: %v", err)
	}
}

// groundBelow is the ground of a camera heightM up that looks pitchDeg below
// the level, and the level direction ahead, both in the camera frame.
func groundBelow(heightM, pitchDeg float64) (ground Plane, ahead Vec3) {
	s, c := math.Sincos(pitchDeg * radiansPerDegree)
	return Plane{Vec3{0, -c, -s}, -heightM}, Vec3{0, -s, c}
}

// Ground-plane check of the trade notes, section 4.1.
func TestGroundPlaneWorkedExample(t *testing.T) {
	cam := Camera{WidthPx: 4001, HeightPx: 3001, FPx: 3000, CxPx: 2000, CyPx: 1500}
	ground, ahead := groundBelow(1.5, 45)
	near(t, "camera height", ground.CameraHeightM(), 1.5, 1e-12)
	for _, c := range []struct {
		px   Pixel
		x, y float64
	}{
		{Pixel{2000, 1500}, 0, 1.5}, {Pixel{2000, 0}, 0, 4.5}, {Pixel{2000, 3000}, 0, 0.5},
		{Pixel{0, 3000}, -0.94281, 0.5}, {Pixel{4000, 3000}, 0.94281, 0.5}, {Pixel{1000, 1000}, -0.84853, 2.1},
	} {
		hit, ok := ground.Intersect(cam.Ray(c.px))
		if !ok {
			t.Fatalf("%v does not meet the ground", c.px)
		}
		near(t, "across", hit[0], c.x, 5.1e-6)
		near(t, "ahead", hit.Dot(ahead), c.y, 1e-9)
	}
	if _, ok := ground.Intersect(Vec3{0, -1, 0.5}); ok {
		t.Error("a ray to the sky met the ground")
	}
}

// Clinometer check of the trade notes, section 4.3: 12 m off, 18 degrees to the
// top, eye 1.6 m, gives 5.499 m; a degree more 0.233 m more.
func TestClinometer(t *testing.T) {
	trunk := Plane{Vec3{0, 0, -1}, -12}
	height := func(deg float64) float64 {
		s, c := math.Sincos(deg * radiansPerDegree)
		hit, ok := trunk.Intersect(Vec3{0, -s, c})
		if !ok {
			t.Fatal("the ray misses the trunk's plane")
		}
		return 1.6 - hit[1]
	}
	near(t, "height", height(18), 5.499, 5.1e-4)
	near(t, "a degree more", height(19)-height(18), 0.233, 5.1e-4)
}

// Trade notes 4.1: 26 mm equivalent at 4000 x 3000 is 2888.9 px by the width
// and 3004.6 px by the diagonal, 4.0 % apart.
func TestPriorCamera26MM(t *testing.T) {
	cam := PriorCamera(4000, 3000, 26)
	near(t, "half-way", cam.FPx, (2888.9+3004.6)/2, 0.1)
	for _, f := range []float64{2888.9, 3004.6} {
		if off := math.Abs(math.Log(f / cam.FPx)); off > cam.FRelSD {
			t.Errorf("%g px lies %.3f off, more than one deviation (%.3f)", f, off, cam.FRelSD)
		}
	}
	near(t, "turned", PriorCamera(3000, 4000, 26).FPx, cam.FPx, 1e-9)
	for _, unknown := range []float64{0, -5, math.NaN(), math.Inf(1)} {
		if c := PriorCamera(4000, 3000, unknown); c.FRelSD != unknownRelSD || !(c.FPx > 0) {
			t.Errorf("equivalent %g: %+v", unknown, c)
		}
	}
}

// A 16:9 picture of a phone has the width and the lens of its 4:3 pictures, and so
// their focal length in pixels.
func TestPriorCameraOfACutPicture(t *testing.T) {
	near(t, "focal length of 16:9", PriorCamera(4000, 2250, 26).FPx, PriorCamera(4000, 3000, 26).FPx, 1e-9)
	near(t, "the same upright", PriorCamera(2250, 4000, 26).FPx, PriorCamera(3000, 4000, 26).FPx, 1e-9)
}

// Trade notes 4.1: millimetres a pixel at f = 2888.9.
func TestPixelSizeByDistance(t *testing.T) {
	cam := Camera{WidthPx: 4000, HeightPx: 3000, FPx: 26.0 / 36 * 4000, CxPx: 1999.5, CyPx: 1499.5}
	for _, c := range [][2]float64{{1.5, .519}, {3, 1.038}, {5, 1.731}, {8, 2.769}, {10, 3.462}, {15, 5.192}} {
		a, _ := cam.Project(Vec3{0, 0, c[0]})
		b, _ := cam.Project(Vec3{1, 0, c[0]})
		near(t, "mm per px", mmPerM/b.Dist(a), c[1], 5.1e-4)
	}
}

// The chessboard photographs' published camera (the vision library's own
// regression test, quoted in the trade notes, 4.2): its distortion is strong, so
// undoing it is a fair trial of the iteration. The corners of the 640 x 480
// picture must come back to a thousandth of a pixel.
func TestRayUndoesDistortion(t *testing.T) {
	cam := Camera{
		WidthPx: 640, HeightPx: 480, FPx: 532.87, CxPx: 342.4952186, CyPx: 233.8879292,
		K1: -0.281325576, K2: 0.0291130406, P1: 0.00121234330, P2: -0.000140825372, K3: 0.154865844,
	}
	for _, px := range []Pixel{{0, 0}, {639, 0}, {0, 479}, {639, 479}, {342, 234}, {100, 400}} {
		back, ok := cam.Project(cam.Ray(px).Scale(7))
		if !ok || back.Dist(px) > 1e-3 {
			t.Errorf("%v came back as %v", px, back)
		}
	}
	if _, ok := cam.Project(Vec3{1, 1, -1}); ok {
		t.Error("a point behind the camera was projected")
	}
}

// A pixel centre at x covers x-0.5 to x+0.5; halved, its middle lies at
// (x+0.5)/2 - 0.5. A scaled camera must put every point there.
func TestScaledCamera(t *testing.T) {
	cam := PriorCamera(4000, 3000, 26)
	for _, s := range []float64{0.5, 0.25, 2} {
		small := cam.Scaled(s)
		for _, p := range []Vec3{{0, 0, 3}, {1, -0.5, 4}, {-2, 1, 5}} {
			a, _ := cam.Project(p)
			b, _ := small.Project(p)
			near(t, "x", b.X, (a.X+0.5)*s-0.5, 1e-9)
			near(t, "y", b.Y, (a.Y+0.5)*s-0.5, 1e-9)
		}
	}
}

func TestRotationIsRodrigues(t *testing.T) {
	quarter := Rotation(Vec3{0, 0, math.Pi / 2}).MulVec(Vec3{1, 0, 0})
	near(t, "x to y", quarter.Sub(Vec3{0, 1, 0}).Norm(), 0, 1e-12)
	r := Rotation(Vec3{0.3, -0.7, 1.1})
	id := r.Mul(r.T())
	for i := range 3 {
		for j := range 3 {
			want := 0.0
			if i == j {
				want = 1
			}
			near(t, "R R'", id[i][j], want, 1e-12)
		}
	}
}
