package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// opencvPair is a pair whose numbers OpenCV 4.6 was asked for (Python, cv2):
// f 1700, middle (1199.5, 899.5), Rodrigues (0.02, -0.03, 0.01), second camera at
// (0.55, 0.03, -0.06) in the first's frame.
func opencvPair() *PairPose {
	cam := Camera{WidthPx: 2400, HeightPx: 1800, FPx: 1700, CxPx: 1199.5, CyPx: 899.5, FRelSD: 0.01}
	r := Rotation(Vec3{0.02, -0.03, 0.01})
	first := &BoardPose{Number: 3, Camera: cam, R: Rotation(Vec3{0.05, 0.1, -0.02}), T: Vec3{-0.3, 0.4, 5.8}}
	second := &BoardPose{Number: 3, Camera: cam, R: r.Mul(first.R), T: r.MulVec(first.T.Sub(Vec3{0.55, 0.03, -0.06}))}
	return &PairPose{First: first, Second: second}
}

func TestTriangulateAgreesWithOpenCV(t *testing.T) {
	p := opencvPair()
	// cv2.triangulatePoints on the pixels of cv2's own projection.
	for _, c := range []struct {
		first, second Pixel
		want          Vec3
	}{
		{Pixel{839.884615, 1030.269231}, Pixel{609.316188, 980.336097}, Vec3{-1.1, 0.4, 5.2}},
		{Pixel{1403.5, 627.5}, Pixel{1230.270912, 588.725603}, Vec3{0.9, -1.2, 7.5}},
		{Pixel{1240.963415, 1438.52439}, Pixel{960.050838, 1381.29278}, Vec3{0.1, 1.3, 4.1}},
	} {
		got, ok := p.Triangulate(c.first, c.second)
		if !ok || got.Sub(c.want).Norm() > 1e-5 { // the pixels are given to 1e-6
			t.Errorf("%v, %v: %v, want %v", c.first, c.second, got, c.want)
		}
		a, b, ok := p.Project(c.want)
		if !ok || a.Dist(c.first) > 1e-5 || b.Dist(c.second) > 1e-5 {
			t.Errorf("%v shows at %v, %v; want %v, %v", c.want, a, b, c.first, c.second)
		}
	}
	if _, ok := p.Triangulate(Pixel{100, 900}, Pixel{2300, 900}); ok {
		t.Error("sights that part in front of the cameras were given a point")
	}
}

// cv2.sampsonDistance gives the square, 1192.3233422596409 px2, for this match.
func TestSampsonDistanceAgreesWithOpenCV(t *testing.T) {
	got := newEpipolar(opencvPair()).distancePx(Match{Pixel{900, 700}, Pixel{760, 705}})
	if want := math.Sqrt(1192.3233422596409); math.Abs(math.Abs(got)-want) > 1e-6 {
		t.Errorf("%.8f px, want %.8f", got, want)
	}
}

// cv2.stereoRectify gives the baseline 0.5540758070878027 and this x axis (first row
// of R1). Where it puts the views' z axis differs by its own choice; what must hold
// whatever that choice is rows and disparities, after its manual.
func TestRectifyAgreesWithOpenCV(t *testing.T) {
	p := opencvPair()
	r, err := p.Rectify(0.5)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.BaselineM-0.5540758070878027) > 1e-9 || !r.SecondRight {
		t.Errorf("baseline %.10f m, second camera right %t", r.BaselineM, r.SecondRight)
	}
	if x := r.toFirst.Col(0); x.Sub(Vec3{0.992644, 0.054144, -0.108288}).Norm() > 1e-5 {
		t.Errorf("x axis %v", x)
	}
	for _, q := range []Vec3{{-1.1, 0.4, 5.2}, {0.9, -1.2, 7.5}, {0.1, 1.3, 4.1}} {
		at, d, ok := r.Locate(q)
		if !ok {
			t.Fatal("a point ahead lies behind the view")
		}
		if back := r.Sight(at).Scale(r.DepthM(d)); back.Sub(q).Norm() > 1e-9 {
			t.Errorf("%v comes back as %v", q, back)
		}
		a, b, _ := p.Project(q)
		px1, ok1 := r.FirstPixel(at)
		px2, ok2 := r.SecondPixel(Pixel{at.X - d, at.Y})
		if !ok1 || !ok2 || px1.Dist(a) > 1e-6 || px2.Dist(b) > 1e-6 {
			t.Errorf("%v: views lead to %v, %v; photos show %v, %v", q, px1, px2, a, b)
		}
	}
}

func TestRectifyRefusesAStepForward(t *testing.T) {
	p := opencvPair()
	r, _ := p.Relative()
	p.Second.T = r.MulVec(p.First.T.Sub(Vec3{0.1, 0, 0.5}))
	if _, err := p.Rectify(0.5); err == nil {
		t.Error("a step forward was laid side by side")
	}
	p.Second.T = r.MulVec(p.First.T)
	if _, err := p.Rectify(0.5); err == nil {
		t.Error("two photos from one place were laid side by side")
	}
}

// drawnPair draws a board and points of a scene into both photos of opencvPair, with
// noise, and wrong matches among them.
func drawnPair(rng *rand.Rand, cornerSDPx, matchSDPx float64, good, wrong int) (first, second []MarkerSighting, matches []Match) {
	p := opencvPair()
	noisy := func(px Pixel, sd float64) Pixel {
		return Pixel{px.X + sd*rng.NormFloat64(), px.Y + sd*rng.NormFloat64()}
	}
	for id := 12; id < 16; id++ {
		corners, _ := MarkerCorners(id)
		a, b := MarkerSighting{ID: id}, MarkerSighting{ID: id}
		for k, c := range corners {
			x, _ := p.First.Project(c)
			y, _ := p.Second.Project(c)
			a.Corners[k], b.Corners[k] = noisy(x, cornerSDPx), noisy(y, cornerSDPx)
		}
		first, second = append(first, a), append(second, b)
	}
	for len(matches) < good {
		z := 3 + 9*rng.Float64()
		q := Vec3{(rng.Float64() - 0.5) * z, (rng.Float64() - 0.5) * z * 0.8, z}
		if a, b, ok := p.Project(q); ok {
			matches = append(matches, Match{noisy(a, matchSDPx), noisy(b, matchSDPx)})
		}
	}
	for range wrong {
		matches = append(matches, Match{
			Pixel{2400 * rng.Float64(), 1800 * rng.Float64()}, Pixel{2400 * rng.Float64(), 1800 * rng.Float64()},
		})
	}
	return first, second, matches
}

// With a third of the matches wrong the step is found, and its true length lies in
// the 95 % interval: of 24 pairs 20 at least (fewer have a chance of 0.6 % at 95 %).
func TestSolvePairFindsTheStep(t *testing.T) {
	if testing.Short() {
		t.Skip("solves 24 pairs: minutes under the race detector, and nothing for it to find")
	}
	want := opencvPair()
	cam := want.First.Camera
	inside, rounds := 0, 24
	for k := range rounds {
		rng := rand.New(rand.NewPCG(7, uint64(k)))
		first, second, matches := drawnPair(rng, 0.25, 0.3, 120, 60)
		got, err := SolvePair(cam, first, second, matches, PoseOptions{CornerSDPx: 0.25})
		if err != nil {
			t.Fatal(err)
		}
		l := got.Propagate(func(q *PairPose) float64 { return q.Step().Norm() })
		if low, high := l.Interval95(); low <= want.Step().Norm() && want.Step().Norm() <= high {
			inside++
		}
		// The boards alone leave a tenth of the step open and more; a hundredth or two
		// is what a length along the alley needs.
		if l.SDM > 0.02*want.Step().Norm() || math.Abs(l.M-want.Step().Norm()) > 4*l.SDM {
			t.Errorf("pair %d: step %.3f m, SD %.4f; true %.3f", k, l.M, l.SDM, want.Step().Norm())
		}
		if got.Matches < 110 || got.Matches > 135 {
			t.Errorf("pair %d: %d matches hold, 120 are right", k, got.Matches)
		}
	}
	if inside < 20 {
		t.Errorf("the true step lies in %d of %d intervals", inside, rounds)
	}
}

// Without matches the boards alone speak, with a wide interval.
func TestSolvePairWithoutMatchesSaysHowLittleItKnows(t *testing.T) {
	want := opencvPair()
	first, second, matches := drawnPair(rand.New(rand.NewPCG(3, 3)), 0.25, 0.3, 200, 0)
	sdOf := func(m []Match) float64 {
		p, err := SolvePair(want.First.Camera, first, second, m, PoseOptions{CornerSDPx: 0.25})
		if err != nil {
			t.Fatal(err)
		}
		return p.Propagate(func(q *PairPose) float64 { return q.Step()[0] }).SDM
	}
	if alone, together := sdOf(nil), sdOf(matches); alone < 5*together {
		t.Errorf("the boards alone know the step to %.4f m, with matches %.4f m", alone, together)
	}
	if _, err := SolvePair(want.First.Camera, first, second[:1], matches, PoseOptions{}); err == nil {
		t.Error("one marker fixed a pose")
	}
}
