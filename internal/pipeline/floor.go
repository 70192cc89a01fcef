package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/floorlight"
)

const (
	// floorPixelMM is what one pixel of the reduced copy shows of the floor: half
	// the grain that light is judged at. Half as much took four times as long and
	// moved no share of the practice photos by more than 0.2 points.
	floorPixelMM = 5.0
	// floorGrainMM is that grain; see floorlight.Hints.
	floorGrainMM = 10.0
	// floorReach times the ring's radius: how far out the floor helps to learn
	// the light of sun and shade. Beyond it is the alley or the next tree.
	floorReach = 2.0
	// defaultFloorRadiusM is what "the floor at the board" means.
	defaultFloorRadiusM = 1.5
	mmPerM              = 1000.0
)

// floorScene is a floor photo with its ground.
type floorScene struct {
	shot    Shot
	seen    []calibrate.MarkerSighting
	pose    *calibrate.BoardPose
	scale   float64 // printed over nominal size of the board
	radiusM float64
	factor  int
	mmPerPx float64 // of the photo, at the board
	small   calibrate.Camera
	ground  *vision.Ground // of the reduced copy: near is the ring, squares are of segmentM
	view    *floorlight.View
}

// measureFloor measures the sunlit share of the floor within FloorRadiusM of the
// board's centre, as far as the photo shows it.
func measureFloor(s Shot) (ShotResult, error) {
	f, err := newFloorScene(s)
	if err != nil {
		return ShotResult{}, err
	}
	f.look()
	shares := f.pixels().Shares()
	if err := f.conditions(shares).Check(); err != nil {
		return ShotResult{}, err
	}
	share, err := f.share(shares)
	if err != nil {
		return ShotResult{}, err
	}
	return f.result(shares, share)
}

func newFloorScene(s Shot) (*floorScene, error) {
	f := &floorScene{shot: s, scale: 1, radiusM: s.Set.FloorRadiusM, seen: floorBoard(s)}
	if s.Set.BoardScale > 0 {
		f.scale = s.Set.BoardScale
	}
	if f.radiusM <= 0 {
		f.radiusM = defaultFloorRadiusM
	}
	if len(f.seen) == 0 {
		return nil, &metrics.Unusable{Reason: "no board found", Mend: "lay the board flat on the floor, all four markers in the picture"}
	}
	cam := s.Camera
	if k := s.Photo.Scale(); k != 1 {
		cam = cam.Scaled(k)
	}
	pose, err := calibrate.SolveBoard(cam, f.seen, calibrate.PoseOptions{BoardScaleRelSD: s.Set.BoardScaleRelSD})
	if err != nil {
		return nil, fmt.Errorf("pipeline: floor: %w", err)
	}
	f.pose = pose
	centre, ok := pose.Project(calibrate.SheetCentre())
	area := pose.FlatGround().AreaPerPixelM2(pose.Camera, centre)
	if !ok || area <= 0 {
		return nil, &metrics.Unusable{Reason: "the board does not lie face up before the camera", Mend: "lay it flat, printed side up, and look down on it"}
	}
	f.mmPerPx = math.Sqrt(area) * mmPerM * f.scale
	f.factor = max(int(math.Round(floorPixelMM/f.mmPerPx)), 1)
	f.small = pose.Camera.Scaled(1 / float64(f.factor))
	return f, nil
}

// floorBoard is the board that shows most: more markers first, then larger,
// then the lower number.
func floorBoard(s Shot) []calibrate.MarkerSighting {
	best, bestScore, bestN := []calibrate.MarkerSighting(nil), 0.0, 0
	for n, seen := range s.Boards {
		score := 0.0
		for _, m := range seen {
			score += 1e6 + m.Corners[0].Dist(m.Corners[2])
		}
		if score > bestScore || score == bestScore && n < bestN {
			best, bestScore, bestN = seen, score, n
		}
	}
	return best
}

func (f *floorScene) sunElevation() *float64 {
	if f.shot.Sun == nil {
		return nil
	}
	return &f.shot.Sun.ElevationDeg
}

// look maps the ground, then judges the light on it.
func (f *floorScene) look() {
	f.ground = vision.NewGround(f.shot.Photo.W/f.factor, f.shot.Photo.H/f.factor, f.segmentsAcross())
	f.layGround()
	f.view = floorlight.Look(f.shot.Photo, floorlight.Hints{
		Factor:  f.factor,
		GrainPx: floorGrainMM / (f.mmPerPx * float64(f.factor)),
		Sheet:   f.quad(0, 0, calibrate.SheetWidthMM, calibrate.SheetHeightMM),
		Grey:    f.quad(calibrate.GreyPatchMM()),
		Ground:  f.ground.Within,
		Print:   f.printPairs(), PrintHalfPx: printHalfMM * f.scale / f.mmPerPx,
	})
}

// layGround lays the reduced copy's pixels out on the ground about the board's centre.
func (f *floorScene) layGround() {
	plane, centre := f.pose.FlatGround(), f.pose.ToCamera(calibrate.SheetCentre())
	right, down := f.pose.R.Col(0).Scale(f.scale), f.pose.R.Col(1).Scale(f.scale)
	if chart, ok := plane.Chart(f.small, centre, right, down); ok {
		chart.AreaM2 *= f.scale * f.scale
		f.ground.Lay(chart, floorReach*f.radiusM, f.radiusM, segmentM)
		return
	}
	w, h := f.ground.Within.W, f.ground.Within.H
	near, reach := f.radiusM*f.radiusM, floorReach*floorReach*f.radiusM*f.radiusM
	seen := make([]calibrate.GroundSeen, w)
	for y := range h {
		plane.SeenAlong(f.small, y, seen)
		for x, g := range seen {
			if g.AreaM2 == 0 {
				continue
			}
			off, i := g.At.Sub(centre), y*w+x
			away := off.Dot(off) * f.scale * f.scale
			f.ground.Within.In[i] = away < reach
			if away < near {
				f.ground.AreaM2[i] = float32(g.AreaM2 * f.scale * f.scale)
				f.ground.Square[i] = f.segmentOf(off.Dot(right), off.Dot(down))
			}
		}
	}
}

// quad projects a rectangle of the board (mm) into the photo.
func (f *floorScene) quad(left, top, width, height float64) (q [4]calibrate.Pixel) {
	for i, d := range [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		q[i], _ = f.pose.Project(calibrate.Vec3{(left + d[0]*width) / mmPerM, (top + d[1]*height) / mmPerM, 0})
	}
	return q
}

func (f *floorScene) pixels() metrics.FloorPixels {
	px := metrics.FloorPixels{Usable: f.view.Floor.In, AreaM2: f.ground.AreaM2}
	if f.view.TwoLights {
		px.Fraction, px.Linear, px.Lit = f.view.Fraction.V, f.view.Linear.V, f.view.Lit.In
	}
	return px
}

func (f *floorScene) conditions(s metrics.FloorShares) metrics.FloorConditions {
	c := metrics.FloorConditions{SunElevationDeg: f.sunElevation(), BurntShare: f.view.Burnt, AreaM2: s.AreaM2}
	if px, err := vision.EdgeBlurPx(f.shot.Photo, f.seen); err == nil {
		mm := px * f.mmPerPx
		c.BlurMM = &mm
	}
	return c
}
