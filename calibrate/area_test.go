package calibrate

import (
	"math"
	"testing"
)

// inside says whether a pixel lies in a convex polygon, either way round.
func inside(poly []Pixel, p Pixel) bool {
	var left, right bool
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		c := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		left, right = left || c > 0, right || c < 0
	}
	return left != right
}

// sumOver adds the ground that the pixels within a polygon show, and returns
// the largest pixel's share and the polygon's outline in pixels too.
func sumOver(ground Plane, cam Camera, poly []Pixel) (sumM2, largestM2, outlinePx float64) {
	for y := range cam.HeightPx {
		for x := range cam.WidthPx {
			if px := (Pixel{float64(x), float64(y)}); inside(poly, px) {
				a := ground.AreaPerPixelM2(cam, px)
				sumM2 += a
				largestM2 = math.Max(largestM2, a)
			}
		}
	}
	for i, a := range poly {
		outlinePx += a.Dist(poly[(i+1)%len(poly)])
	}
	return sumM2, largestM2, outlinePx
}

// The pixels that show a patch of the ground add up to its area. A pixel on the
// outline counts whole or not at all, so each errs by at most half of the
// largest pixel, evenly spread (deviation 0.29), and about outline x 4/pi pixels
// are cut by it: four deviations of that sum are allowed.
func TestAreaPerPixelAddsUp(t *testing.T) {
	cam := Camera{WidthPx: 800, HeightPx: 600, FPx: 578, CxPx: 399.5, CyPx: 299.5}
	for _, pitch := range []float64{90, 70, 50, 35} {
		ground, ahead := groundBelow(1.5, pitch)
		right := Vec3{1, 0, 0}
		foot := ground.Normal.Scale(ground.D)
		reach := 1.5 / math.Tan(pitch*radiansPerDegree) // where the camera looks
		corners := [][2]float64{{-0.6, -0.4}, {0.5, -0.5}, {0.7, 0.5}, {-0.3, 0.6}}
		poly := make([]Pixel, len(corners))
		var area float64
		for i, c := range corners {
			n := corners[(i+1)%len(corners)]
			area += (c[0]*n[1] - n[0]*c[1]) / 2
			p := foot.Add(right.Scale(c[0])).Add(ahead.Scale(reach + c[1]))
			px, ok := cam.Project(p)
			if !ok || px.X < 0 || px.Y < 0 || px.X > 799 || px.Y > 599 {
				t.Fatalf("pitch %g: corner %d lies outside the picture at %v", pitch, i, px)
			}
			poly[i] = px
		}
		sum, largest, outline := sumOver(ground, cam, poly)
		near(t, "area", sum, area, 4*0.29*largest*math.Sqrt(outline*4/math.Pi))

		turned, upsideDown := turn180(ground, cam, poly)
		again, _, _ := sumOver(turned, cam, upsideDown)
		near(t, "area turned by 180 degrees", again, sum, 1e-9)

		big := cam.Scaled(2)
		for i := range poly {
			poly[i] = Pixel{(poly[i].X+0.5)*2 - 0.5, (poly[i].Y+0.5)*2 - 0.5}
		}
		twice, largest2, outline2 := sumOver(ground, big, poly)
		near(t, "area with twice the pixels", twice, area, 4*0.29*largest2*math.Sqrt(outline2*4/math.Pi))
	}
}

// turn180 is the same scene photographed with the camera upside down.
func turn180(ground Plane, cam Camera, poly []Pixel) (Plane, []Pixel) {
	out := make([]Pixel, len(poly))
	for i, p := range poly {
		out[i] = Pixel{float64(cam.WidthPx-1) - p.X, float64(cam.HeightPx-1) - p.Y}
	}
	n := ground.Normal
	return Plane{Vec3{-n[0], -n[1], n[2]}, ground.D}, out
}

func TestAreaPerPixelOffThePlane(t *testing.T) {
	cam := Camera{WidthPx: 800, HeightPx: 600, FPx: 578, CxPx: 399.5, CyPx: 299.5}
	ground, _ := groundBelow(1.5, 0)
	if a := ground.AreaPerPixelM2(cam, Pixel{400, 10}); a != 0 {
		t.Errorf("sky shows %g m2 of ground", a)
	}
	if a := (Plane{Vec3{0, -1, 0}, 0}).AreaPerPixelM2(cam, Pixel{400, 500}); a != 0 {
		t.Errorf("a plane through the lens shows %g m2", a)
	}
}

// A row at once is each of its pixels alone, through a straight lens and a bent one, with
// the horizon in the row.
func TestSeenAlongIsEachPixel(t *testing.T) {
	plane := Plane{Vec3{0.3, -0.9, 0.1}.Unit(), -1.5}
	for _, k1 := range []float64{0, -0.1} {
		cam := Camera{WidthPx: 80, HeightPx: 60, FPx: 40, CxPx: 39.5, CyPx: 29.5, K1: k1}
		row := make([]GroundSeen, cam.WidthPx)
		missed := 0
		for y := range cam.HeightPx {
			plane.SeenAlong(cam, y, row)
			for x, got := range row {
				px := Pixel{float64(x), float64(y)}
				hit, ok := plane.Intersect(cam.Ray(px))
				if !ok {
					hit = Vec3{}
					missed++
				}
				want := plane.AreaPerPixelM2(cam, px)
				if got.At.Sub(hit).Norm() > 1e-9*(1+hit.Norm()) || math.Abs(got.AreaM2-want) > 1e-9*(1e-9+want) {
					t.Fatalf("k1 %g, pixel %d, %d: %v, want %v and %g", k1, x, y, got, hit, want)
				}
			}
		}
		if missed == 0 || missed == cam.WidthPx*cam.HeightPx {
			t.Errorf("%d pixels miss the plane: the rows test nothing", missed)
		}
	}
}

// A chart says of every pixel what Intersect and AreaPerPixelM2 say of it.
func TestChartIsEachPixel(t *testing.T) {
	plane := Plane{Vec3{0.3, -0.9, 0.1}.Unit(), -1.5}
	cam := Camera{WidthPx: 80, HeightPx: 60, FPx: 40, FyRel: 1.1, CxPx: 39.5, CyPx: 29.5}
	origin, _ := plane.Intersect(cam.Ray(Pixel{30, 55}))
	right := plane.Normal.Cross(Vec3{0, 0, 1}).Unit()
	down := plane.Normal.Cross(right).Scale(2)
	c, ok := plane.Chart(cam, origin, right, down)
	if !ok {
		t.Fatal("no chart of a plane before a straight lens")
	}
	missed := 0
	for y := range cam.HeightPx {
		for x := range cam.WidthPx {
			px := Pixel{float64(x), float64(y)}
			at := Vec3{px.X, px.Y, 1}
			s := c.D / c.W.Dot(at)
			hit, seen := plane.Intersect(cam.Ray(px))
			if !seen {
				missed++
				if s > 0 {
					t.Fatalf("pixel %v does not see the plane, the chart says it does", px)
				}
				continue
			}
			u, v, area := c.U.Dot(at)*s/c.D, c.V.Dot(at)*s/c.D, c.AreaM2*s*s*s
			off, want := hit.Sub(origin), plane.AreaPerPixelM2(cam, px)
			if math.Abs(u-off.Dot(right)) > 1e-9*(1+hit.Norm()) || math.Abs(v-off.Dot(down)) > 1e-9*(1+hit.Norm()) || math.Abs(area-want) > 1e-9*want {
				t.Fatalf("pixel %v: %g, %g of %g, want %g, %g of %g", px, u, v, area, off.Dot(right), off.Dot(down), want)
			}
		}
	}
	if missed == 0 {
		t.Error("every pixel sees the plane: the horizon is not tested")
	}
	cam.K1 = -0.1
	if _, ok := plane.Chart(cam, origin, right, down); ok {
		t.Error("a chart of a lens that distorts")
	}
}
