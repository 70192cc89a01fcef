package floorlight

import (
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	drawnW, drawnH = 480, 360
	drawnGrainPx   = 4
	shadeLight     = 0.03
	drawnContrast  = 10
)

// drawnFloor paints a floor whose reflectance varies log-normally (SD 0.4) in
// patches of 6 px, lit by round flecks with a penumbra of a fifth of their
// radius, and returns the photo and the true mean fraction.
func drawnFloor(seed uint64, flecks int, contrast float64) (*vision.Photo, float64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	frac := make([]float64, drawnW*drawnH)
	for range flecks {
		cx, cy, r := rng.Float64()*drawnW, rng.Float64()*drawnH, 12+20*rng.Float64()
		for i := range frac {
			d := math.Hypot(float64(i%drawnW)-cx, float64(i/drawnW)-cy)
			frac[i] = math.Max(frac[i], math.Max(0, math.Min(1, (1.1*r-d)/(0.2*r))))
		}
	}
	const patch = 6
	across := drawnW/patch + 1
	reflect := make([]float64, across*(drawnH/patch+1))
	for i := range reflect {
		reflect[i] = math.Exp(0.4 * rng.NormFloat64())
	}
	p := &vision.Photo{W: drawnW, H: drawnH, FullW: drawnW, FullH: drawnH, Pix: make([]uint8, 3*drawnW*drawnH)}
	sum := 0.0
	for i, f := range frac {
		x, y := i%drawnW, i/drawnW
		l := shadeLight * (1 + (contrast-1)*f) * reflect[y/patch*across+x/patch]
		for k, tint := range [3]float64{1.2, 1, 0.6} {
			p.Pix[3*i+k] = uint8(math.Round(vision.LinearToSRGB(l * tint)))
		}
		sum += f
	}
	return p, sum / float64(len(frac))
}

func drawnHints() Hints {
	ground := vision.NewMask(drawnW, drawnH)
	for i := range ground.In {
		ground.In[i] = true
	}
	mid := calibrate.Pixel{X: drawnW / 2, Y: drawnH / 2}
	at := func(dx, dy float64) calibrate.Pixel { return calibrate.Pixel{X: mid.X + dx, Y: mid.Y + dy} }
	return Hints{
		Factor: 1, GrainPx: drawnGrainPx, Ground: ground,
		Sheet: [4]calibrate.Pixel{at(-5, -5), at(5, -5), at(5, 5), at(-5, 5)},
		Grey:  [4]calibrate.Pixel{at(-4, -4), at(4, -4), at(4, 4), at(-4, 4)},
	}
}

func unmixedMean(v *View) float64 {
	sum, n := 0.0, 0.0
	for i, in := range v.Floor.In {
		if in {
			sum += float64(v.Unmixed.V[i])
			n++
		}
	}
	return sum / n
}

// 4800 patches with a relative SD of 0.42 in the sun leave 0.4 points at a share
// of 0.5; the sun's level, a mean over lit patches, adds 2 % of the share; eight
// bits add a code's half in the shade. Three points hold them at three SDs.
func TestLookFindsTheShareOfADrawnFloor(t *testing.T) {
	for seed, flecks := range []int{4, 15, 40, 90} {
		p, truth := drawnFloor(uint64(seed), flecks, drawnContrast)
		v := Look(p, drawnHints())
		if !v.TwoLights {
			t.Fatalf("%d flecks: sun and shade not told apart", flecks)
		}
		if got := unmixedMean(v); math.Abs(got-truth) > 0.03 {
			t.Errorf("%d flecks: share %.3f, truth %.3f", flecks, got, truth)
		}
		// Reflectance is the same in sun and shade, so the contrast is the light's;
		// the mean over patches and the core's choice leave a fifth.
		if v.Contrast < 0.8*drawnContrast || v.Contrast > 1.25*drawnContrast {
			t.Errorf("%d flecks: contrast %.1f, drawn with %d", flecks, v.Contrast, drawnContrast)
		}
	}
}

func TestLookTurnedByHalfGivesTheSame(t *testing.T) {
	p, _ := drawnFloor(7, 20, drawnContrast)
	turned := *p
	turned.Pix = make([]uint8, len(p.Pix))
	n := p.W * p.H
	for i := range n {
		copy(turned.Pix[3*(n-1-i):3*(n-i)], p.Pix[3*i:3*i+3])
	}
	a, b := unmixedMean(Look(p, drawnHints())), unmixedMean(Look(&turned, drawnHints()))
	// The drawn board is half a pixel off the middle.
	if math.Abs(a-b) > 0.005 {
		t.Errorf("share %.4f, turned %.4f", a, b)
	}
}

func TestLookDoesNotSplitOneLight(t *testing.T) {
	p, _ := drawnFloor(3, 0, 1)
	if v := Look(p, drawnHints()); v.TwoLights {
		t.Errorf("texture alone was split into sun and shade, contrast %.1f", v.Contrast)
	}
	p, _ = drawnFloor(3, 30, 2) // thin cloud: under the contrast that counts as sun
	if v := Look(p, drawnHints()); v.TwoLights {
		t.Errorf("a contrast of 2 passed for sun: %.1f", v.Contrast)
	}
}

func TestLookWithoutGroundJudgesNothing(t *testing.T) {
	p, _ := drawnFloor(1, 10, drawnContrast)
	h := drawnHints()
	h.Ground = vision.NewMask(drawnW, drawnH)
	if v := Look(p, h); v.TwoLights || v.Floor.Count() != 0 {
		t.Error("floor found where there is none")
	}
}

// A black limb across the floor is neither shade nor floor.
func TestLookLeavesOutABlackLimb(t *testing.T) {
	p, _ := drawnFloor(5, 30, drawnContrast)
	for y := range 80 {
		for i := 3 * y * p.W; i < 3*(y+1)*p.W; i++ {
			p.Pix[i] = 0
		}
	}
	v := Look(p, drawnHints())
	left := 0
	for i := range 70 * p.W {
		if v.Other.In[i] {
			left++
		}
	}
	if share := float64(left) / float64(70*p.W); share < 0.95 {
		t.Errorf("%.0f %% of the black limb left out", 100*share)
	}
}

func TestBurntCountsOnlyAllChannels(t *testing.T) {
	p, _ := drawnFloor(2, 10, drawnContrast)
	for i := range p.W * p.H / 4 {
		p.Pix[3*i] = 255 // red alone
	}
	if v := Look(p, drawnHints()); v.Burnt > 0.001 {
		t.Errorf("red alone counted as burnt out: %.3f", v.Burnt)
	}
	for i := range 3 * p.W * p.H / 4 {
		p.Pix[i] = 255
	}
	// A quarter is white; board and edges take little.
	if v := Look(p, drawnHints()); math.Abs(v.Burnt-0.25) > 0.01 {
		t.Errorf("burnt share %.3f, 0.25 painted", v.Burnt)
	}
}

// A blur of sigma has that variance and keeps the sum (definition); boxes hit
// the variance to the rounding of their width.
func TestBlurredKeepsSumAndVariance(t *testing.T) {
	for _, sigma := range []float64{1, 3, 6, 20} {
		a := newPlane(301, 3)
		a.v[301+150] = 1
		b := a.blurred(sigma)
		var sum, second float64
		for y := range 3 {
			for x := range 301 {
				v := float64(b.v[y*301+x])
				sum += v
				second += v * float64((x-150)*(x-150))
			}
		}
		if got := math.Sqrt(second / sum); math.Abs(got-sigma) > 0.06*sigma {
			t.Errorf("sigma %g came out as %.3f", sigma, got)
		}
	}
}

func TestSmoothedIgnoresWhatIsMasked(t *testing.T) {
	a, mask := newPlane(50, 50), newPlane(50, 50)
	for i := range a.v {
		a.v[i] = 1000
		if i%50 < 25 {
			a.v[i], mask.v[i] = 2, 1
		}
	}
	if got := a.smoothed(mask, 3).v[25*50+24]; math.Abs(float64(got)-2) > 1e-3 {
		t.Errorf("masked pixels leaked in: %g", got)
	}
}

func TestMixtureFindsWhatItWasDrawnFrom(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	log := make([]float64, 50000)
	for i := range log {
		log[i] = -2 + 0.25*rng.NormFloat64()
		if i%5 == 0 {
			log[i] = 0.3 + 0.3*rng.NormFloat64()
		}
	}
	m := fitMixture(log)
	// Means known to 0.25/200; the comb takes a little off each flank.
	if math.Abs(m.shade+2) > 0.05 || math.Abs(m.sun-0.3) > 0.1 || math.Abs(m.weight[1]-0.2) > 0.05 {
		t.Errorf("shade %.2f sun %.2f share %.2f; drawn -2, 0.3, 0.2", m.shade, m.sun, m.weight[1])
	}
}

func TestBoardLightReadsTheColour(t *testing.T) {
	p, _ := drawnFloor(1, 5, drawnContrast)
	for y := drawnH/2 - 6; y <= drawnH/2+6; y++ {
		for x := drawnW/2 - 6; x <= drawnW/2+6; x++ {
			copy(p.Pix[3*(y*drawnW+x):], []uint8{100, 118, 140})
		}
	}
	b := Look(p, drawnHints()).Board
	want := vision.SRGBToLinear(100) / vision.SRGBToLinear(140)
	if math.Abs(b.RedToBlue-want) > 0.01 {
		t.Errorf("red to blue %.3f, painted %.3f (seen %v)", b.RedToBlue, want, b.Seen)
	}
}

func TestLargePartsDropsSmallOnes(t *testing.T) {
	m := vision.NewMask(20, 20)
	for i := range 5 {
		m.In[i] = true // 5 pixels in a row
		m.In[10*20+i], m.In[11*20+i] = true, true
	}
	got := largeParts(m, 8)
	if got.Count() != 10 || got.In[0] {
		t.Errorf("kept %d pixels, 10 expected", got.Count())
	}
	if n := grown(got, 1).Count(); n != 6*4 {
		t.Errorf("grown to %d pixels, 24 expected", n)
	}
}
