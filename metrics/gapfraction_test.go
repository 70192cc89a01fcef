package metrics

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

// The table of the project's trade notes (section 1.2), where each cell of the
// closed form agreed with a numerical integral of Campbell's 1990 density.
func TestCampbellGTable(t *testing.T) {
	zeniths := []float64{0, 15, 30, 45, 57.5, 60, 75}
	rows := []struct {
		x, lambda float64
		g         []float64
	}{
		{0.5, 1.70920, []float64{0.2925, 0.3206, 0.3870, 0.4625, 0.5179, 0.5274, 0.5702}},
		{1, 2.00000, []float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5}},
		{1.5, 2.36082, []float64{0.6354, 0.6234, 0.5896, 0.5400, 0.4941, 0.4853, 0.4410}},
		{2, 2.76035, []float64{0.7245, 0.7061, 0.6531, 0.5728, 0.4949, 0.4792, 0.3970}},
		{3, 3.62323, []float64{0.8280, 0.8030, 0.7302, 0.6171, 0.5021, 0.4780, 0.3420}},
	}
	for _, r := range rows {
		near(t, "Lambda", campbellLambda(r.x), r.lambda, 5.1e-6)
		for i, z := range zeniths {
			near(t, "G", CampbellG(r.x, z*radiansPerDegree), r.g[i], 5.1e-5)
		}
	}
}

// campbellDensity is Campbell's 1990 density of leaf inclination a (radians).
func campbellDensity(x, a float64) float64 {
	c, s := math.Cos(a), math.Sin(a)
	d := c*c + x*x*s*s
	return 2 * x * x * x * s / (campbellLambda(x) * d * d)
}

// projection is the mean |cos| between the beam and leaves of inclination a at
// all azimuths (Warren Wilson 1960, from memory), by the midpoint rule.
func projection(zenith, a float64) float64 {
	const n = 400
	var sum float64
	for i := range n {
		phi := 2 * math.Pi * (float64(i) + 0.5) / n
		sum += math.Abs(math.Cos(zenith)*math.Cos(a) + math.Sin(zenith)*math.Sin(a)*math.Cos(phi))
	}
	return sum / n
}

// The closed form against the integral of the density: an independent route.
func TestCampbellGIsTheIntegralOfItsDensity(t *testing.T) {
	const n = 400
	for _, x := range []float64{0.5, 1, 1.5, 2, 3} {
		for _, z := range []float64{0, 0.4, 1.0} {
			var g float64
			for i := range n {
				a := math.Pi / 2 * (float64(i) + 0.5) / n
				g += campbellDensity(x, a) * projection(z, a) * math.Pi / 2 / n
			}
			near(t, "integral", CampbellG(x, z), g, 1e-4)
		}
	}
}

func TestCampbellGNearTheSphereIsSmooth(t *testing.T) {
	for _, x := range []float64{1 - 1e-5, 1 - 1e-7, 1 + 1e-7, 1 + 1e-5} {
		near(t, "G near the sphere", CampbellG(x, 0.5), 0.5, 1e-5)
	}
	for _, bad := range [][2]float64{{0, 0}, {-1, 0}, {1, -0.1}, {1, math.Pi / 2}, {math.NaN(), 0}} {
		if g := CampbellG(bad[0], bad[1]); !math.IsNaN(g) {
			t.Errorf("CampbellG(%v) = %g, want NaN", bad, g)
		}
	}
}

// Trade notes section 1.1: spherical leaves.
func TestGapFractionTable(t *testing.T) {
	for _, r := range []struct{ pai, zenith, p float64 }{
		{1, 0, 0.6065}, {3, 20, 0.2027}, {3, 50, 0.0969}, {4, 30, 0.0993}, {6, 60, 0.0025},
	} {
		near(t, "P", GapFraction(r.pai, r.zenith, SphericalX), r.p, 5.1e-5)
	}
	near(t, "PAI of 20 %", EffectivePAI(0.20, 0, SphericalX), 3.219, 5.1e-4) // section 8.1
	near(t, "there and back", EffectivePAI(GapFraction(2.7, 33, 1.6), 33, 1.6), 2.7, 1e-12)
	if p := EffectivePAI(1, 20, 1); p != 0 {
		t.Errorf("open floor gives PAI %g", p)
	}
	if p := EffectivePAI(0, 20, 1); !math.IsInf(p, 1) {
		t.Errorf("black floor gives PAI %g", p)
	}
}

// Trade notes section 3.4 (spherical leaves).
func TestNormaliseSunlit(t *testing.T) {
	for _, r := range []struct{ p, from, want float64 }{
		{0.10, 48.4, 0.1965}, {0.12, 40, 0.1776}, {0.20, 5, 0.1816}, {0.08, 30, 0.0975},
	} {
		near(t, "normalised", NormaliseSunlit(r.p, r.from, ReferenceZenithDeg, SphericalX), r.want, 5.1e-5)
	}
	for _, r := range []struct{ to, want float64 }{
		{0, .2204}, {5, .2191}, {10, .2153}, {20, .2}, {30, .1744}, {40, .1389}, {46.5, .1111}, {50, .0951}, {60, .0486},
	} {
		near(t, "from 20", NormaliseSunlit(0.2, 20, r.to, SphericalX), r.want, 5.1e-5)
	}
	for _, p := range []float64{0, 1} {
		if got := NormaliseSunlit(p, 50, 20, 1); got != p {
			t.Errorf("share %g became %g", p, got)
		}
	}
	if got := NormaliseSunlit(0.2, 95, 20, 1); !math.IsNaN(got) {
		t.Errorf("a sun under the horizon gave %g", got)
	}
}

// By hand: P .10 at zenith 48.4. K(20)/K(48.4) is .70655 for x = 1 and
// sqrt(4+.13247)/sqrt(4+1.26860) = .88565 for x = 2, so x = 2 gives
// .10^.88565 = .13012: the lower end of an exact reading. The upper end stays.
func TestNormaliseSunlitEstimateCarriesTheLeafAngle(t *testing.T) {
	exact := Estimate{Value: 0.10, Low95: 0.10, High95: 0.10}
	got := NormaliseSunlitEstimate(exact, 48.4, 20)
	near(t, "value", got.Value, 0.1965, 5.1e-5)
	near(t, "low", got.Low95, 0.1301, 1e-4)
	near(t, "high", got.High95, 0.1965, 5.1e-5)

	up := NormaliseSunlitEstimate(Estimate{Value: 0.2, Low95: 0.15, High95: 0.26}, 5, 20)
	near(t, "value from 5", up.Value, 0.1816, 5.1e-5)
	if up.High95 < NormaliseSunlit(0.26, 5, 20, 1) || up.Low95 > NormaliseSunlit(0.15, 5, 20, 1) {
		t.Errorf("the interval shrank: %+v", up)
	}

	e := Estimate{Value: 0.1, Low95: 0.05, High95: 0.2, Flags: []string{"x"}}
	same := NormaliseSunlitEstimate(e, 20, 20)
	near(t, "same zenith value", same.Value, 0.1, 1e-12)
	near(t, "same zenith low", same.Low95, 0.05, 1e-12)
	near(t, "same zenith high", same.High95, 0.2, 1e-12)

	dark := NormaliseSunlitEstimate(Estimate{Value: 0, Low95: 0, High95: 0.02}, 48.4, 20)
	if dark.Value != 0 || dark.Low95 != 0 || !(dark.High95 > 0.02 && dark.High95 < 0.1) {
		t.Errorf("dark floor: %+v", dark)
	}
}
