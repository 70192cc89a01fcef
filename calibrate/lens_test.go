package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// lensTruth is a lens of a kind phones have, made up.
func lensTruth() Lens {
	return Lens{WidthPx: 1600, HeightPx: 1200, FxPx: 1180, FyPx: 1181, CxPx: 806, CyPx: 590,
		K1: -0.06, K2: 0.03, P1: 0.0008, P2: -0.0005, K3: -0.01}
}

// boardViews photographs a chessboard of 9 by 7 corners from n sides.
func boardViews(l Lens, n int, noisePx float64, rnd *rand.Rand) []LensView {
	var views []LensView
	for len(views) < n {
		v := LensView{R: Rotation(Vec3{rnd.Float64() - 0.5, rnd.Float64() - 0.5, rnd.Float64() - 0.5}),
			T: Vec3{rnd.Float64()*0.5 - 0.45, rnd.Float64()*0.4 - 0.35, 0.5 + 0.3*rnd.Float64()}}
		for i := range 63 {
			v.Board = append(v.Board, Vec3{float64(i%9) * 0.04, float64(i/9) * 0.04, 0})
		}
		v.Pixels = v.project(l.pinhole())
		seen := true
		for i := range v.Pixels {
			p := &v.Pixels[i]
			seen = seen && p.X > 0 && p.Y > 0 && p.X < 1600 && p.Y < 1200
			p.X, p.Y = p.X+noisePx*rnd.NormFloat64(), p.Y+noisePx*rnd.NormFloat64()
		}
		if seen {
			views = append(views, v)
		}
	}
	return views
}

// Without noise the fit must come back to the lens the views were made with.
func TestRefineLensFindsTheLens(t *testing.T) {
	truth := lensTruth()
	views := boardViews(truth, 8, 0, rand.New(rand.NewPCG(1, 2)))
	start := truth
	start.setTerms([lensTerms]float64{1150, 1160, 799, 600, 0, 0, 0, 0, 0})
	got, err := RefineLens(start, views)
	if err != nil {
		t.Fatal(err)
	}
	want := truth.terms()
	for i, v := range got.terms() {
		if math.Abs(v-want[i]) > 1e-5*math.Max(1, math.Abs(want[i])) {
			t.Errorf("term %d is %.6g, want %.6g", i, v, want[i])
		}
	}
	if got.RMSPx > 1e-4 {
		t.Errorf("%.2g px left over", got.RMSPx)
	}
}

// With corner noise of 0.2 px the covariance must say how far the terms are off:
// over 12 fits of 9 terms the squares of error over deviation add up to about 108
// (chi square of 108 degrees, terms of a fit hang together: twice its deviation, 29,
// three times over is allowed).
func TestLensCovarianceIsTheScatter(t *testing.T) {
	const fits, noise = 12, 0.2
	truth := lensTruth()
	want := truth.terms()
	rnd := rand.New(rand.NewPCG(3, 4))
	var chi2, rms float64
	for range fits {
		got, err := RefineLens(truth, boardViews(truth, 10, noise, rnd))
		if err != nil {
			t.Fatal(err)
		}
		rms += got.RMSPx / fits
		sd := got.SD()
		for i, v := range got.terms() {
			chi2 += (v - want[i]) * (v - want[i]) / (sd[i] * sd[i])
		}
	}
	if n := float64(fits * lensTerms); math.Abs(chi2-n) > 3*2*math.Sqrt(2*n) {
		t.Errorf("chi square %.0f over %.0f terms: the deviations are not the scatter", chi2, n)
	}
	if want := noise * math.Sqrt2; math.Abs(rms-want) > 0.1*want {
		t.Errorf("rms distance %.3f px, want about %.3f", rms, want)
	}
}

func TestTooFewCornersFixNoLens(t *testing.T) {
	truth := lensTruth()
	views := boardViews(truth, 2, 0, rand.New(rand.NewPCG(1, 2)))
	for i := range views {
		views[i].Board, views[i].Pixels = views[i].Board[:4], views[i].Pixels[:4]
	}
	if _, err := RefineLens(truth, views); err == nil {
		t.Error("eight corners gave nine numbers and two poses")
	}
}

// A turned camera sees through a pixel of the upright picture what the lens sees
// through the pixel it was stored at, turned alike.
func TestTurnedCameraSeesTheSame(t *testing.T) {
	l := lensTruth()
	for i := range l.Cov {
		for j := range l.Cov {
			l.Cov[i][j] = float64(10*min(i, j)+max(i, j)) * 1e-6
		}
		l.Cov[i][i] = 1e-3
	}
	stored := l.Camera()
	for o := 1; o <= 8; o++ {
		up := stored.Turned(o)
		swap, flipX, flipY := turns(o)
		for _, q := range []Pixel{{100, 200}, {800, 30}, {555.5, 1100}} {
			r := stored.Ray(Stored(q, o, l.WidthPx, l.HeightPx))
			if flipX {
				r[0] = -r[0]
			}
			if flipY {
				r[1] = -r[1]
			}
			if swap {
				r[0], r[1] = r[1], r[0]
			}
			if d := up.Ray(q).Sub(r).Norm(); d > 1e-9 {
				t.Errorf("orientation %d: the ray of %v is off by %g", o, q, d)
			}
		}
		if got, want := up.Spread.Cov[2][3], stored.Spread.Cov[2][3]; got != want {
			t.Errorf("orientation %d: k1 and k2 vary together by %g, want %g", o, got, want)
		}
	}
}

// Ground seen through a lens that bends: a pixel's area must be that of the
// quadrilateral its corners show, to second order in a pixel.
func TestPixelAreaThroughABentLens(t *testing.T) {
	cam := Camera{WidthPx: 800, HeightPx: 600, FPx: 578, FyRel: 1.002, CxPx: 399.5, CyPx: 299.5, K1: -0.2, K2: 0.05, P1: 0.001}
	ground, _ := groundBelow(1.5, 60)
	for _, px := range []Pixel{{400, 300}, {60, 500}, {760, 570}} {
		var c [4]Vec3
		for i, d := range [4][2]float64{{-.5, -.5}, {.5, -.5}, {.5, .5}, {-.5, .5}} {
			c[i], _ = ground.Intersect(cam.Ray(Pixel{px.X + d[0], px.Y + d[1]}))
		}
		want := c[2].Sub(c[0]).Cross(c[3].Sub(c[1])).Norm() / 2
		if got := ground.AreaPerPixelM2(cam, px); math.Abs(got-want) > 1e-4*want {
			t.Errorf("pixel %v shows %.4g m2, want %.4g", px, got, want)
		}
	}
}
