package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// uprightBoard is what a level camera at a height sees of a plumb board with its foot
// on the ground aheadM ahead, turned by yawDeg about the plumb line and leaning back
// by leanDeg; corners with noise.
func uprightBoard(cam Camera, cameraM, aheadM, yawDeg, leanDeg, noisePx float64, rnd *rand.Rand) (seen []MarkerSighting, r Mat3) {
	yaw := Rotation(Vec3{0, yawDeg / degreesPerRadian, 0})
	lean := Rotation(Vec3{leanDeg / degreesPerRadian, 0, 0})
	r = yaw.Mul(lean)
	middle := Vec3{0.3, cameraM - StandHeightM - SheetHeightMM/mmPerM/2, aheadM}
	for id := range MarkersPerBoard {
		corners, _ := MarkerCorners(id)
		m := MarkerSighting{ID: id}
		for i, c := range corners {
			px, _ := cam.Project(r.MulVec(c.Sub(SheetCentre())).Add(middle))
			m.Corners[i] = Pixel{px.X + noisePx*rnd.NormFloat64(), px.Y + noisePx*rnd.NormFloat64()}
		}
		seen = append(seen, m)
	}
	return seen, r
}

// normalOff is the angle between two poses' faces, degrees.
func normalOff(a, b Mat3) float64 {
	return math.Acos(clamp(a.Col(2).Dot(b.Col(2)), -1, 1)) * degreesPerRadian
}

// A small flat board allows two poses, mirrored about the line of sight. Seen from
// 1.5 m above its ground, 7 m off, the true one stands plumb; its mirror leans by twice
// the angle that the line of sight makes with its face, some 17 degrees here, which
// puts the camera metres too high or low: the height a phone is held at must rule it
// out. The mirror of a board turned by 12 degrees about the plumb line stands plumb
// too and gravity says nothing: there the truth must be among the two that are
// kept, or the error stated must reach it.
func TestGravityRulesOutTheMirroredPose(t *testing.T) {
	cam := PriorCamera(2400, 1800, 26)
	rnd := rand.New(rand.NewPCG(7, 8))
	const draws, noise = 60, 0.25
	far := 0
	for range draws {
		seen, r := uprightBoard(cam, 1.5, 7, 0, 0, noise, rnd)
		b, err := SolveBoard(cam, seen, PoseOptions{CameraHeightPrior: HeldPhone(StandHeightM)})
		if err != nil {
			t.Fatal(err)
		}
		// 1.5 m of height at 7 m, two standard deviations of phone, plumb and level: 5
		// degrees of pitch; the mirror is beyond.
		if pitchOff := math.Abs(b.PitchDeg() + math.Asin(r.Col(1)[2])*degreesPerRadian); pitchOff > 5 {
			far++
		}
		if b.Alternate != nil && math.Abs(b.Alternate.PitchDeg()) > 10 && b.AlternateWeight > 0.01 {
			t.Errorf("a board leaning by %.0f degrees keeps a chance of %.2f", b.Alternate.PitchDeg(), b.AlternateWeight)
		}
	}
	if far > draws/20 {
		t.Errorf("%d of %d boards lean by 5 degrees or more", far, draws)
	}
	missed := 0
	for range draws {
		seen, r := uprightBoard(cam, 1.5, 7, 12, 0, noise, rnd)
		b, err := SolveBoard(cam, seen, PoseOptions{CameraHeightPrior: HeldPhone(StandHeightM)})
		if err != nil {
			t.Fatal(err)
		}
		turnSD := math.Sqrt(b.Cov[1][1]) * degreesPerRadian
		near := normalOff(b.R, r) < math.Max(3, 3*turnSD)
		if b.Alternate != nil {
			near = near || normalOff(b.Alternate.R, r) < math.Max(3, 3*turnSD)
		}
		if !near {
			missed++
		}
	}
	if missed > draws/20 {
		t.Errorf("%d of %d boards turned by 12 degrees are found elsewhere, past the error stated", missed, draws)
	}
}

// A board that leans by 5 degrees on a slope of 5 degrees: the corners at 8 m must be
// free to say so. The length measured up the board's plane from its foot, 5 m, must
// lie within three times its stated error of the truth. (Taken as level ground under a plumb
// board, 10 of the 60 do not.)
func TestLeaningBoardOnASlopeKeepsItsInterval(t *testing.T) {
	cam := Camera{WidthPx: 2400, HeightPx: 1800, FPx: 1733, FRelSD: 0.01, CxPx: 1199.5, CyPx: 899.5}
	rnd := rand.New(rand.NewPCG(9, 10))
	const draws, aheadM, slopeDeg, leanDeg = 60, 8.0, 5.0, 5.0
	cameraM := 1.5 + aheadM*math.Tan(slopeDeg/degreesPerRadian) // the camera stands uphill
	missed := 0
	for range draws {
		seen, r := uprightBoard(cam, cameraM, aheadM, 0, leanDeg, 0.15, rnd)
		b, err := SolveBoard(cam, seen, PoseOptions{CameraHeightPrior: HeldPhone(StandHeightM)})
		if err != nil {
			t.Fatal(err)
		}
		middle := Vec3{0.3, cameraM - StandHeightM - SheetHeightMM/mmPerM/2, aheadM}
		top := r.MulVec(Vec3{SheetWidthMM / 2 / mmPerM, -5, 0}.Sub(SheetCentre())).Add(middle)
		px, _ := cam.Project(top)
		l := b.Propagate(func(q *BoardPose) float64 {
			hit, _ := q.Face().Intersect(q.Camera.Ray(px))
			return -q.ToBoard(hit)[1]
		})
		if math.Abs(l.M-5) > 3*l.SDM {
			missed++
		}
	}
	if missed > draws/20 {
		t.Errorf("%d of %d lengths lie past three times their error", missed, draws)
	}
}
