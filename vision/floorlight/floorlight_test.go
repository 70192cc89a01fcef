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

// shadeTint and sunTint are the two lights' colours, R G B: the sky's and the sun's.
var shadeTint, sunTint = [3]float64{0.6, 1, 1.5}, [3]float64{1.1, 1, 0.85}

// drawnFloor paints a floor whose reflectance varies log-normally (SD 0.4) in
// patches of 6 px, lit by round flecks with a penumbra of a fifth of their
// radius, and returns the photo and the true mean fraction. The contrast is
// green's; the camera bends its codes by k.
func drawnFloor(seed uint64, flecks int, contrast float64, sun [3]float64, k toneCurve) (*vision.Photo, float64) {
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
		for c, own := range [3]float64{1.2, 1, 0.6} {
			l := shadeLight * own * reflect[y/patch*across+x/patch] * (shadeTint[c] + (contrast-1)*f*sun[c])
			p.Pix[3*i+c] = k.code(l)
		}
		sum += f
	}
	drawPrint(p, k)
	return p, sum / float64(len(frac))
}

// code is what a camera with this curve writes for a light.
func (k toneCurve) code(light float64) uint8 {
	return uint8(math.Round(255 * k.bend(vision.LinearToSRGB(light)/255)))
}

// drawPrint paints the sheet with pairs of white and dark in three lights, and the
// grey patch in its middle.
func drawPrint(p *vision.Photo, k toneCurve) {
	dark := map[bool]float64{false: math.Exp(-inkLog), true: math.Exp(-greyLog)}
	for i, q := range drawnPairs() {
		light := [3]float64{0.7, 0.25, 0.08}[i%3]
		for at, l := range map[calibrate.Pixel]float64{q.White: light, q.Dark: light * dark[q.Grey]} {
			for y := int(at.Y) - 2; y <= int(at.Y)+2; y++ {
				for x := int(at.X) - 2; x <= int(at.X)+2; x++ {
					for c := range 3 {
						p.Pix[3*(y*drawnW+x)+c] = k.code(l)
					}
				}
			}
		}
	}
}

func drawnPairs() []PrintPair {
	var out []PrintPair
	for i := range 12 {
		at := calibrate.Pixel{X: drawnW/2 - 30 + 12*float64(i%6), Y: drawnH/2 - 28 + 40*float64(i/6)}
		out = append(out, PrintPair{White: at, Dark: calibrate.Pixel{X: at.X, Y: at.Y + 6}, Grey: i%4 == 3})
	}
	return out
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
		Print: drawnPairs(), PrintHalfPx: 1.5,
		Sheet: [4]calibrate.Pixel{at(-36, -34), at(36, -34), at(36, 24), at(-36, 24)},
		Grey:  [4]calibrate.Pixel{at(-4, -4), at(4, -4), at(4, 4), at(-4, 4)},
	}
}

func fractionMean(v *View) float64 {
	sum, n := 0.0, 0.0
	for i, in := range v.Floor.In {
		if in {
			sum += float64(v.Fraction.V[i])
			n++
		}
	}
	return sum / n
}

// 4800 patches with a relative SD of 0.42 in the sun leave 0.4 points at a share
// of 0.5; the sun's level, a mean over lit patches, adds 2 % of the share, the
// camera's curve 4 % at an error of 0.1 (toneRelSE in metrics); eight bits add a
// code's half in the shade. Three points hold them at three SDs to a share of a
// third, four beyond.
func TestLookFindsTheShareOfADrawnFloor(t *testing.T) {
	for seed, flecks := range []int{4, 15, 40, 90} {
		for _, k := range []toneCurve{0, 0.8} {
			p, truth := drawnFloor(uint64(seed), flecks, drawnContrast, sunTint, k)
			v := Look(p, drawnHints())
			if !v.TwoLights {
				t.Fatalf("%d flecks: sun and shade not told apart", flecks)
			}
			allowed := 0.03
			if truth > 0.33 {
				allowed = 0.04
			}
			if got := fractionMean(v); math.Abs(got-truth) > allowed {
				t.Errorf("%d flecks, curve %.1f: share %.3f, truth %.3f", flecks, k, got, truth)
			}
			// Green's contrast is 10, blue's 1 + 9 x 0.85/1.5 = 6.1; a fifth to either
			// side is the mixture's.
			if v.Contrast < 0.8*6.1 || v.Contrast > 1.2*drawnContrast {
				t.Errorf("%d flecks, curve %.1f: contrast %.1f, drawn 6.1 to 10", flecks, k, v.Contrast)
			}
		}
	}
}

// Nothing stands on the drawn floor: what is left out of it was taken for a limb. The
// rims of flecks are the shade's where a little sun warms them.
func TestLookLeavesRimsOfFlecksIn(t *testing.T) {
	for seed := range uint64(4) {
		p, _ := drawnFloor(100+seed, 40, drawnContrast, sunTint, 0.4)
		if left := float64(Look(p, drawnHints()).Other.Count()) / (drawnW * drawnH); left > 0.01 {
			t.Errorf("seed %d: %.1f %% of a bare floor left out", 100+seed, 100*left)
		}
	}
}

// Bright and dark patches of one colour are no sun and shade, however they differ.
func TestLookWantsTheSunWarmer(t *testing.T) {
	p, _ := drawnFloor(4, 30, drawnContrast, shadeTint, 0)
	if v := Look(p, drawnHints()); v.TwoLights || !v.Patchy {
		t.Errorf("light of one colour: two lights %v, patchy %v, warmth %.2f", v.TwoLights, v.Patchy, v.Warmth)
	}
}

// The print is drawn with the ratios that the fit expects, so nothing but codes'
// rounding moves it: half a code at the darkest ink (0.004) is 4 % of its light.
func TestFitToneFindsTheCurve(t *testing.T) {
	for _, k := range []toneCurve{0, 0.3, 0.6, 0.9} {
		p, _ := drawnFloor(1, 10, drawnContrast, sunTint, k)
		got, sd := fitTone(readPairs(p, drawnPairs(), 1.5))
		if math.Abs(float64(got-k)) > 0.12 || sd > 0.2 {
			t.Errorf("curve %.2f found as %.2f with an error of %.2f", k, got, sd)
		}
	}
	if k, sd := fitTone(nil); math.Abs(float64(k)-toneMean) > 0.02 || sd < 0.2 {
		t.Errorf("no print: %.2f with an error of %.2f, the prior expected", k, sd)
	}
}

// Against the definition, with pairs so far off that their product alone would overflow.
func TestOffLogIsTheSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	var r ratioFit
	want := 0.0
	for range 400 {
		l := 40 * rng.NormFloat64()
		r.logs, r.sds = append(r.logs, l), append(r.sds, 0.1)
		want += math.Log1p((l - 1) * (l - 1) / 0.02)
	}
	if got := r.offLog(1); math.Abs(got-want) > 1e-9*want {
		t.Errorf("%g, want %g", got, want)
	}
}

func TestToneCurveTurnsRound(t *testing.T) {
	for _, k := range []toneCurve{0, 0.4, 0.9} {
		lut := k.light()
		for code := 20; code < 250; code += 10 {
			back := 255 * k.bend(vision.LinearToSRGB(float64(lut[code]))/255)
			if math.Abs(back-float64(code)) > 0.2 {
				t.Errorf("curve %.1f: code %d came back as %.2f", k, code, back)
			}
		}
	}
	if got := toneCurve(0).light()[118]; math.Abs(float64(got)-vision.SRGBToLinear(118)) > 1e-4 {
		t.Errorf("without a curve code 118 is %.4f, sRGB says %.4f", got, vision.SRGBToLinear(118))
	}
}

func TestLookTurnedByHalfGivesTheSame(t *testing.T) {
	p, _ := drawnFloor(7, 20, drawnContrast, sunTint, 0)
	turned := *p
	turned.Pix = make([]uint8, len(p.Pix))
	n := p.W * p.H
	for i := range n {
		copy(turned.Pix[3*(n-1-i):3*(n-i)], p.Pix[3*i:3*i+3])
	}
	a, b := fractionMean(Look(p, drawnHints())), fractionMean(Look(&turned, drawnHints()))
	// The drawn board is half a pixel off the middle.
	if math.Abs(a-b) > 0.005 {
		t.Errorf("share %.4f, turned %.4f", a, b)
	}
}

func TestLookDoesNotSplitOneLight(t *testing.T) {
	p, _ := drawnFloor(3, 0, 1, sunTint, 0)
	if v := Look(p, drawnHints()); v.TwoLights {
		t.Errorf("texture alone was split into sun and shade, contrast %.1f", v.Contrast)
	}
	p, _ = drawnFloor(3, 30, 2, sunTint, 0) // thin cloud: under the contrast that counts as sun
	if v := Look(p, drawnHints()); v.TwoLights {
		t.Errorf("a contrast of 2 passed for sun: %.1f", v.Contrast)
	}
}

func TestLookWithoutGroundJudgesNothing(t *testing.T) {
	p, _ := drawnFloor(1, 10, drawnContrast, sunTint, 0)
	h := drawnHints()
	h.Ground = vision.NewMask(drawnW, drawnH)
	if v := Look(p, h); v.TwoLights || v.Floor.Count() != 0 {
		t.Error("floor found where there is none")
	}
}

// A black limb across the floor is neither shade nor floor.
func TestLookLeavesOutABlackLimb(t *testing.T) {
	p, _ := drawnFloor(5, 30, drawnContrast, sunTint, 0)
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
	p, _ := drawnFloor(2, 10, drawnContrast, sunTint, 0)
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

// A kernel of sigma has that variance and adds up to 1 (definition); boxes hit the
// variance to the rounding of their width in pixels.
func TestKernelsKeepSumAndVariance(t *testing.T) {
	moments := func(kernel []float32) (sum, second float64) {
		for i, k := range kernel {
			both := 2 * float64(k)
			if i == 0 {
				both = float64(k)
			}
			sum, second = sum+both, second+both*float64(i*i)
		}
		return sum, second
	}
	for _, sigma := range []float64{1, 3, 6} {
		if sum, second := moments(gaussian(sigma)); math.Abs(sum-1) > 1e-5 || math.Abs(math.Sqrt(second)-sigma) > 0.02*sigma {
			t.Errorf("gaussian of %g: adds up to %g, sigma %.3f", sigma, sum, math.Sqrt(second))
		}
	}
	const n = vision.BroadCell
	for _, sigma := range []float64{20, 60, 120} {
		variance := (n*n - 1) / 4.0 // of cells and the straight lines between
		for _, kernel := range broadBoxes(sigma) {
			sum, second := moments(kernel)
			if math.Abs(sum-1) > 1e-5 {
				t.Errorf("box of %g adds up to %g", sigma, sum)
			}
			variance += n * n * second
		}
		if got := math.Sqrt(variance); math.Abs(got-sigma) > 0.03*sigma {
			t.Errorf("boxes of %g came out as %.2f", sigma, got)
		}
	}
}

// A fifth of the pixels is lit, half of that in full sun, the rest f = v^2 with v
// even from 0 to 1: a share of 0.2*(1/2 + 1/2*1/3) = 0.133. It is known to a tenth,
// for that is how far the sun's level may be off.
func TestMixtureFindsWhatItWasDrawnFrom(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	log := make([]float32, 50000)
	for i := range log {
		f := 0.0
		switch i % 10 {
		case 0:
			f = 1
		case 1:
			f = rng.Float64()
			f *= f
		}
		log[i] = float32(math.Log(math.Exp(-2)*(1+9*f)) + 0.25*rng.NormFloat64())
	}
	all := make([]bool, len(log))
	for i := range all {
		all[i] = true
	}
	counted := vision.NewTally(logLow, logHigh)
	counted.Add(log, all)
	m := fitMixture(counted)
	share := m.weight[1]
	for k, f := range penumbraFractions() {
		share += f * m.weight[2+k]
	}
	if math.Abs(m.shade+2) > 0.05 || math.Abs(m.sun-m.shade-math.Log(10)) > 0.13 || math.Abs(share-0.133) > 0.0133 {
		t.Errorf("shade %.2f sun %.2f share %.3f; drawn -2, 0.30, 0.133", m.shade, m.sun, share)
	}
}

func TestBoardLightReadsTheColour(t *testing.T) {
	p, _ := drawnFloor(1, 5, drawnContrast, sunTint, 0)
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

// The ratios that densities are filled by come to the densities themselves; what is
// under 1e-12 of the highest counts for nothing.
func TestDensitiesAreTheNormals(t *testing.T) {
	for _, m := range []mixture{startMixture(0.7, -2, 0.5), {shade: -9, sun: 4, sd: 0.12, weight: [2 + penumbraTeeth]float64{.5, .5}}} {
		h := &histogram{width: 0.05}
		for i := range h.x {
			h.x[i] = -4 + 0.05*float64(i)
		}
		var d densities
		d.fill(&m, h)
		means := m.means()
		for i, x := range h.x {
			for k, want := range m.density(x, &means) {
				if got := d[k][i]; math.Abs(got-want) > 1e-9*want+1e-12 {
					t.Fatalf("component %d at %.2f: %g, want %g", k, x, got, want)
				}
			}
		}
	}
}

func TestGrownPartsDropsSmallOnes(t *testing.T) {
	const w = 20
	in, out := make([]bool, w*w), make([]bool, w*w)
	count := func() (n int) {
		for _, o := range out {
			if o {
				n++
			}
		}
		return n
	}
	for i := range 5 {
		in[i] = true // 5 pixels in a row
		in[10*w+i], in[11*w+i] = true, true
	}
	if !grownParts(in, w, 8, 0, out) || count() != 10 || out[0] {
		t.Errorf("kept %d pixels, 10 expected", count())
	}
	if grownParts(in, w, 8, 1, out); count() != 6*4 {
		t.Errorf("grown to %d pixels, 24 expected", count())
	}
	if grownParts(in, w, 11, 1, out) || count() != 0 {
		t.Errorf("%d pixels of parts too small", count())
	}
}

// Parts by runs are parts by filling from any pixel, over masks with arms that meet late
// and ends that touch at corners only.
func TestPartsAreWhatTouches(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 2))
	const w, h = 40, 30
	for range 20 {
		in := make([]bool, w*h)
		for i := range in {
			in[i] = rng.IntN(5) > 1
		}
		size := make([]int, w*h)
		for i, m := range in {
			if !m || size[i] > 0 {
				continue
			}
			part, seen := []int{i}, map[int]bool{i: true}
			for k := 0; k < len(part); k++ {
				x, y := part[k]%w, part[k]/w
				for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					nx, ny := x+d[0], y+d[1]
					if j := ny*w + nx; nx >= 0 && ny >= 0 && nx < w && ny < h && in[j] && !seen[j] {
						seen[j] = true
						part = append(part, j)
					}
				}
			}
			for _, j := range part {
				size[j] = len(part)
			}
		}
		runs, sizes := partsOf(in, w)
		marked := 0
		for _, u := range runs {
			for x := u.x0; x < u.x1; x++ {
				marked++
				if got := sizes[u.part]; !in[u.y*w+x] || got != size[u.y*w+x] {
					t.Fatalf("pixel %d, %d: part of %d, want %d", x, u.y, got, size[u.y*w+x])
				}
			}
		}
		for i := range in {
			if in[i] {
				marked--
			}
		}
		if marked != 0 {
			t.Fatalf("runs hold %d pixels more than the mask", marked)
		}
	}
}
