package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// station is a place of the board before the camera, as the tests draw it.
type station struct {
	name              string
	distanceM         float64
	tiltDeg, turnDeg  float64 // of the board about the camera's x and y axes
	rollDeg           float64
	offXDeg, offYDeg  float64 // of its centre from the optical axis
	slots             []int   // markers seen
	outliers          int     // corners thrown 8 to 20 px off
	widthPx, heightPx int
}

const (
	testBoard  = 3
	testNoise  = defaultCornerSDPx
	testF35MM  = 26.0
	drawsCount = 200
	// fourSDOfCoverage: the share of 200 intervals of 95 % that hold the truth
	// has a deviation of sqrt(.95 x .05 / 200) = 1.54 points.
	fourSDOfCoverage = 4 * 0.0154
)

func stations() []station {
	all, two, three := []int{0, 1, 2, 3}, []int{0, 2}, []int{0, 1, 3}
	base := []station{
		{name: "floor straight down", distanceM: 1.5, widthPx: 1600, heightPx: 1200},
		{name: "floor oblique", distanceM: 1.8, tiltDeg: 40, turnDeg: 15, rollDeg: 70, offXDeg: 8, offYDeg: -5, widthPx: 1600, heightPx: 1200},
		{name: "upright at 3 m", distanceM: 3, turnDeg: 12, tiltDeg: -6, offYDeg: 12, widthPx: 3000, heightPx: 4000},
		{name: "upright at 6 m", distanceM: 6, turnDeg: 25, tiltDeg: -8, offXDeg: 4, offYDeg: 15, widthPx: 3000, heightPx: 4000},
		{name: "upright at 6 m, head-on", distanceM: 6, widthPx: 3000, heightPx: 4000},
	}
	var out []station
	for _, s := range base {
		for _, slots := range [][]int{all, three, two} {
			s.slots = slots
			out = append(out, s)
		}
	}
	return out
}

// trial is one drawn photo of a board: the truth, and what a detector saw.
type trial struct {
	truth *BoardPose // with the true focal length; lengths already in true metres
	scale float64    // printed size over nominal
	prior Camera
	seen  []MarkerSighting
}

// draw places the board as the station says, with the focal length, the print's
// scale and the corners off by errors of the sizes SolveBoard assumes.
func (s station) draw(rng *rand.Rand) trial {
	tr := trial{prior: PriorCamera(s.widthPx, s.heightPx, testF35MM)}
	tr.scale = math.Exp(defaultScaleRelSD * rng.NormFloat64())
	cam := tr.prior
	cam.FPx *= math.Exp(cam.FRelSD * rng.NormFloat64())
	rad := func(deg float64) float64 { return deg * radiansPerDegree }
	r := Rotation(Vec3{rad(s.tiltDeg), 0, 0}).Mul(Rotation(Vec3{0, rad(s.turnDeg), 0})).Mul(Rotation(Vec3{0, 0, rad(s.rollDeg)}))
	centre := Vec3{math.Tan(rad(s.offXDeg)), math.Tan(rad(s.offYDeg)), 1}.Unit().Scale(s.distanceM)
	tr.truth = &BoardPose{Number: testBoard, Camera: cam, R: r, T: centre.Sub(r.MulVec(SheetCentre().Scale(tr.scale)))}
	for _, slot := range s.slots {
		m := MarkerSighting{ID: testBoard*MarkersPerBoard + slot}
		corners, _ := MarkerCorners(m.ID)
		for i, c := range corners {
			px, _ := tr.truth.Project(c.Scale(tr.scale))
			m.Corners[i] = Pixel{px.X + testNoise*rng.NormFloat64(), px.Y + testNoise*rng.NormFloat64()}
		}
		tr.seen = append(tr.seen, m)
	}
	for i := range s.outliers {
		c := &tr.seen[i%len(tr.seen)].Corners[rng.IntN(4)]
		far, dir := 8+12*rng.Float64(), 2*math.Pi*rng.Float64()
		*c = Pixel{c.X + far*math.Cos(dir), c.Y + far*math.Sin(dir)}
	}
	return tr
}

// boardDistanceM is from the camera to the sheet's centre.
func boardDistanceM(b *BoardPose) float64 { return b.ToCamera(SheetCentre()).Norm() }

// faceLengthM is from the sheet's centre to where the ray of a pixel meets the
// plane of the sheet: how every height and width is measured.
func faceLengthM(px Pixel) func(*BoardPose) float64 {
	return func(b *BoardPose) float64 {
		hit, ok := b.Face().Intersect(b.Camera.Ray(px))
		if !ok {
			return math.NaN()
		}
		return hit.Sub(b.ToCamera(SheetCentre())).Norm()
	}
}

// tally counts how intervals and truth agree.
type tally struct {
	n, covered, mirrored int
	z2, sumRel, sumRelSD float64
}

func (c *tally) add(got Length, want float64) {
	c.n++
	low, high := got.Interval95()
	if low <= want && want <= high {
		c.covered++
	}
	z := (got.M - want) / got.SDM
	c.z2 += z * z
	c.sumRel += (got.M - want) / want
	c.sumRelSD += got.SDM / want
}

func (c *tally) coverage() float64 { return float64(c.covered) / float64(c.n) }

func (s station) run(t *testing.T, measure map[string]func(trial) func(*BoardPose) float64, opt PoseOptions) map[string]*tally {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 7))
	out := map[string]*tally{}
	for name := range measure {
		out[name] = &tally{}
	}
	for range drawsCount {
		tr := s.draw(rng)
		got, err := SolveBoard(tr.prior, tr.seen, opt)
		if err != nil {
			t.Fatalf("%s: %v", s.name, err)
		}
		for name, m := range measure {
			fn := m(tr)
			c := out[name]
			if got.Alternate != nil {
				c.mirrored++
			}
			c.add(got.Propagate(fn), trueLength(tr, fn))
		}
	}
	return out
}

// trueLength measures on the true pose; its sheet centre is the nominal point,
// half a millimetre off the true one at most.
func trueLength(tr trial, fn func(*BoardPose) float64) float64 { return fn(tr.truth) }

// boardMeasures are the two sorts of length the trade takes from a board: how
// far off things are, and how far a point is from the board in its plane.
func boardMeasures(s station) map[string]func(trial) func(*BoardPose) float64 {
	offM := 3.0 // the top of a tree of the usual height, from a board at its foot
	if s.distanceM < 2 {
		offM = 0.6 // across the floor that such a photo shows
	}
	return map[string]func(trial) func(*BoardPose) float64{
		"distance": func(trial) func(*BoardPose) float64 { return boardDistanceM },
		"in plane": func(tr trial) func(*BoardPose) float64 {
			px, _ := tr.truth.Project(SheetCentre().Add(Vec3{0.3, -offM, 0}))
			return faceLengthM(px)
		},
	}
}

// check holds a tally against what its intervals promise: 95 % hold the truth,
// errors as large as the deviation stated (the mean square of their ratio is 1
// with a deviation of sqrt(2/n)), and no bias; four deviations are allowed.
func (c *tally) check(t *testing.T, what string) {
	t.Helper()
	n := float64(c.n)
	z2 := c.z2 / n
	t.Logf("%-48s covered %.3f, error/deviation %.2f, mean error %+.2f %%, deviation %.2f %%, mirrored %d",
		what, c.coverage(), math.Sqrt(z2), 100*c.sumRel/n, 100*c.sumRelSD/n, c.mirrored)
	if c.coverage() < 0.95-fourSDOfCoverage {
		t.Errorf("%s: %.3f of the intervals hold the truth", what, c.coverage())
	}
	if z2 > 1+4*math.Sqrt(2/n) {
		t.Errorf("%s: errors are %.2f of the deviation stated", what, math.Sqrt(z2))
	}
	if math.Abs(c.sumRel) > 4*c.sumRelSD/math.Sqrt(n) {
		t.Errorf("%s: a mean error of %.2f %% cannot be chance", what, 100*c.sumRel/n)
	}
}

func TestSolveBoardIntervalsHoldTheTruth(t *testing.T) {
	for _, s := range stations() {
		for name, c := range s.run(t, boardMeasures(s), PoseOptions{}) {
			c.check(t, fmt.Sprintf("%s, %d markers, %s", s.name, len(s.slots), name))
		}
	}
}

// One corner of a marker can lie far off (a sun patch on the paper): the robust
// fit must not follow it, and its interval must go on holding the truth. An
// oblique and a frontal station, four markers.
func TestSolveBoardShrugsOffAStrayCorner(t *testing.T) {
	for _, i := range []int{3, 6} {
		s := stations()[i]
		s.outliers = 1
		for name, c := range s.run(t, boardMeasures(s), PoseOptions{}) {
			if c.coverage() < 0.95-fourSDOfCoverage {
				t.Errorf("%s, %s: %.3f of intervals hold the truth with a stray corner", s.name, name, c.coverage())
			}
		}
	}
}

// The same scene with twice the pixels gives the same metres.
func TestSolveBoardTwiceThePixels(t *testing.T) {
	tr := stations()[6].draw(rand.New(rand.NewPCG(3, 3)))
	var seen []MarkerSighting
	for _, m := range tr.seen {
		for i, p := range m.Corners {
			m.Corners[i] = Pixel{(p.X+0.5)*2 - 0.5, (p.Y+0.5)*2 - 0.5}
		}
		seen = append(seen, m)
	}
	a, errA := SolveBoard(tr.prior, tr.seen, PoseOptions{CornerSDPx: 0.25})
	b, errB := SolveBoard(tr.prior.Scaled(2), seen, PoseOptions{CornerSDPx: 0.5})
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	la, lb := a.Propagate(boardDistanceM), b.Propagate(boardDistanceM)
	near(t, "distance", lb.M, la.M, 1e-5*la.M)
	near(t, "its deviation", lb.SDM, la.SDM, 1e-3*la.SDM)
}

// A photo taken upside down shows the same board: the corners keep their order
// on the marker, and every length stays.
func TestSolveBoardTurned(t *testing.T) {
	tr := stations()[3].draw(rand.New(rand.NewPCG(5, 5)))
	var seen []MarkerSighting
	for _, m := range tr.seen {
		for i, p := range m.Corners {
			m.Corners[i] = Pixel{float64(tr.prior.WidthPx-1) - p.X, float64(tr.prior.HeightPx-1) - p.Y}
		}
		seen = append(seen, m)
	}
	a, errA := SolveBoard(tr.prior, tr.seen, PoseOptions{})
	b, errB := SolveBoard(tr.prior, seen, PoseOptions{})
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	near(t, "distance", boardDistanceM(b), boardDistanceM(a), 1e-6)
	near(t, "camera height", b.FlatGround().CameraHeightM(), a.FlatGround().CameraHeightM(), 1e-6)
}

func TestSolveBoardRefusals(t *testing.T) {
	tr := stations()[0].draw(rand.New(rand.NewPCG(2, 2)))
	stranger, unknown, flat, same, nan := tr.seen[1], tr.seen[1], tr.seen[1], tr.seen[0], tr.seen[1]
	stranger.ID += MarkersPerBoard
	unknown.ID = BoardCount * MarkersPerBoard
	flat.Corners, same.Corners = [4]Pixel{}, [4]Pixel{}
	nan.Corners[2] = Pixel{math.NaN(), 3}
	for name, seen := range map[string][]MarkerSighting{
		"none": nil, "one": tr.seen[:1], "of two boards": {tr.seen[0], stranger},
		"of no board": {tr.seen[0], unknown}, "in one point": {same, flat}, "not a number": {tr.seen[0], nan},
	} {
		if b, err := SolveBoard(tr.prior, seen, PoseOptions{}); err == nil {
			t.Errorf("markers %s gave a pose at %v", name, b.T)
		}
	}
}

// drawFrom returns a move of the unknowns drawn from a pose's covariance.
func drawFrom(t *testing.T, b *BoardPose, rng *rand.Rand) func() [paramCount]float64 {
	t.Helper()
	cov := mat.NewSymDense(paramCount, nil)
	for i := range paramCount {
		for j := i; j < paramCount; j++ {
			cov.SetSym(i, j, b.Cov[i][j])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		t.Fatal("the covariance is not positive definite")
	}
	var l mat.TriDense
	chol.LTo(&l)
	return func() (move [paramCount]float64) {
		z := mat.NewVecDense(paramCount, nil)
		for i := range paramCount {
			z.SetVec(i, rng.NormFloat64())
		}
		var d mat.VecDense
		d.MulVec(&l, z)
		for i := range move {
			move[i] = d.AtVec(i)
		}
		return move
	}
}

// Propagate is first order; drawn from the same covariance, lengths must spread
// as much. 4000 draws fix a deviation to 1.1 %; the second order of deviations
// of a few per cent adds less than 2 % more.
func TestPropagateAgainstMonteCarlo(t *testing.T) {
	const n = 4000
	s := stations()[3]
	tr := s.draw(rand.New(rand.NewPCG(9, 9)))
	b, err := SolveBoard(tr.prior, tr.seen, PoseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	b.Alternate = nil
	for name, m := range boardMeasures(s) {
		fn, draw := m(tr), drawFrom(t, b, rand.New(rand.NewPCG(11, 4)))
		var sum, sum2 float64
		for range n {
			v := fn(b.Moved(draw())) - fn(b)
			sum, sum2 = sum+v, sum2+v*v
		}
		sd := math.Sqrt(sum2/n - sum/n*sum/n)
		near(t, name, sd/b.Propagate(fn).SDM, 1, 4*0.011+0.02)
	}
}

// A row of points lands where each of them does alone, before the camera and behind it,
// through a straight lens and a bent one.
func TestProjectRowIsProject(t *testing.T) {
	pose := BoardPose{R: FromCols(Vec3{0.6, 0, 0.8}, Vec3{0, 1, 0}, Vec3{-0.8, 0, 0.6}), T: Vec3{0.1, 0.2, 1.5}}
	for _, k1 := range []float64{0, -0.1} {
		pose.Camera = Camera{WidthPx: 4000, HeightPx: 3000, FPx: 2900, CxPx: 1999.5, CyPx: 1499.5, K1: k1}
		first, step := Vec3{-3, 0.4, 0}, Vec3{0.25, 0, 0}
		row := make([]Pixel, 30)
		pose.ProjectRow(first, step, row)
		seen := 0
		for i, got := range row {
			want, ok := pose.Project(first.Add(step.Scale(float64(i))))
			if !ok {
				want = Pixel{offPhotoPx, offPhotoPx}
			} else {
				seen++
			}
			if got.Dist(want) > 1e-6 {
				t.Errorf("k1 %g, point %d: %v, want %v", k1, i, got, want)
			}
		}
		if seen == 0 || seen == len(row) {
			t.Errorf("%d of %d points are before the camera: the row tests nothing", seen, len(row))
		}
	}
}
