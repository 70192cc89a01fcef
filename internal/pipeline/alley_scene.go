package pipeline

import (
	"fmt"
	"math"
	"sort"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/alleyview"
)

const (
	// alleyFarM: beyond this a board's markers are too small to be read from a
	// phone's photo, and the trees beside it too.
	alleyFarM = 10.0
	// alleyRollDeg: a board turned in its plane by more is upside down or on its
	// side; a stand pushed in by hand is within 15.
	alleyRollDeg = 30.0
	// vanishReachDeg is how far about the pose's own level line and the board's
	// own column the rows' vanishing point is looked for: three standard
	// deviations of the pitch that the camera's height leaves open.
	vanishReachDeg = 4.5
	// vanishSDDeg is how well the vanishing point gives the level line: ragged
	// walls, and ground that rises or falls by half a per cent along the alley.
	vanishSDDeg = 0.4
	// vanishLeastBits: an alley's open wedge tells the class by more than this;
	// a thicket or a lawn by less.
	vanishLeastBits = 0.10
)

// alleyScene lays the alley into the photo: metres to the right of the camera,
// ahead of it along the alley, and above the ground.
type alleyScene struct {
	pose             *calibrate.BoardPose
	boards           []*calibrate.BoardPose // all, from left to right
	standM           float64
	right, ahead, up calibrate.Vec3
	cameraM          float64 // height above the ground
	boardXM, boardYM float64 // the board's middle
	number           int
	vanishing        calibrate.Pixel
	sunUpDeg         float64 // 0 unknown
}

// pixel is where a point of the alley shows.
func (c *alleyScene) pixel(xM, yM, zM float64) (calibrate.Pixel, bool) {
	p := c.right.Scale(xM).Add(c.ahead.Scale(yM)).Add(c.up.Scale(zM - c.cameraM))
	return c.pose.Camera.Project(p)
}

// ray is what a pixel sees: metres to the right and up for each metre ahead.
func (c *alleyScene) ray(p calibrate.Pixel) (right, up float64, ok bool) {
	r := c.pose.Camera.Ray(p)
	a := r.Dot(c.ahead)
	if a < 0.1 {
		return 0, 0, false
	}
	return r.Dot(c.right) / a, r.Dot(c.up) / a, true
}

// alleyBoards solves every board of the photo that shows two markers or more,
// sorted from left to right.
func alleyBoards(s Shot, opt calibrate.PoseOptions) ([]*calibrate.BoardPose, error) {
	var out []*calibrate.BoardPose
	for n, seen := range s.Boards {
		pose, err := calibrate.SolveBoard(s.Camera, seen, opt)
		if err != nil {
			continue // too few markers, or corners that fit no board
		}
		down := pose.R.Col(1)
		if roll := math.Abs(math.Atan2(down[0], down[1])) * 180 / math.Pi; roll > alleyRollDeg {
			return nil, &metrics.Unusable{
				Reason: fmt.Sprintf("board %d is turned by %.0f degrees, %.0f allowed", n, roll, alleyRollDeg),
				Mend:   "stand the board with its text the right way up and its bottom edge level",
			}
		}
		out = append(out, pose)
	}
	if len(out) == 0 {
		return nil, &metrics.Unusable{Reason: "no board found", Mend: "stand the board upright on the alley's centre line 5 to 7 m ahead, facing the camera, all four markers clear of leaves"}
	}
	column := func(b *calibrate.BoardPose) float64 {
		p := b.ToCamera(calibrate.SheetCentre())
		return p[0] / p[2]
	}
	sort.Slice(out, func(i, j int) bool { return column(out[i]) < column(out[j]) })
	return out, nil
}

// middleBoard is the board on the centre line: the middle one of three or more
// in line, else the one nearest to the photo's middle column.
func middleBoard(boards []*calibrate.BoardPose) *calibrate.BoardPose {
	if n := len(boards); n > 2 {
		return boards[n/2]
	}
	best, least := boards[0], math.Inf(1)
	for _, b := range boards {
		p := b.ToCamera(calibrate.SheetCentre())
		if d := math.Abs(p[0] / p[2]); d < least {
			best, least = b, d
		}
	}
	return best
}

func (s Shot) alleyPose() calibrate.PoseOptions {
	return calibrate.PoseOptions{
		BoardScaleRelSD:   s.Set.BoardScaleRelSD,
		CameraHeightPrior: calibrate.HeldPhone(s.Set.StandHeightM),
	}
}

// newAlleyScene finds the board, the level line and the way the rows run, and
// classes the photo.
func newAlleyScene(s Shot) (*alleyScene, *alleyview.View, error) {
	opt := s.alleyPose()
	boards, err := alleyBoards(s, opt)
	if err != nil {
		return nil, nil, err
	}
	first := middleBoard(boards)
	if d := first.ToCamera(calibrate.SheetCentre())[2]; d > alleyFarM {
		return nil, nil, &metrics.Unusable{
			Reason: fmt.Sprintf("board %d is %.1f m away, %.0f m is the most", first.Number, d, alleyFarM),
			Mend:   "stand the board 5 to 7 m ahead of the camera",
		}
	}
	rough := sceneOf(s, boards, first, rowsAhead(first))
	reduced := alleyview.Reduce(s.Photo)
	view := reduced.Look(rough.hints(vanishReachDeg))
	reachPx := math.Tan(vanishReachDeg*math.Pi/180) * first.Camera.FPx
	at, bits := view.Vanishing(rough.vanishing, reachPx)
	if bits < vanishLeastBits {
		return nil, nil, &metrics.Unusable{
			Reason: fmt.Sprintf("no alley to be seen: its lines tell open from canopy by %.2f bits a pixel, %.2f needed", bits, vanishLeastBits),
			Mend:   "stand on the alley's centre line and point the camera straight down it",
		}
	}
	opt.PitchPrior.MeanDeg, opt.PitchPrior.SDDeg = levelPitchDeg(first, at), vanishSDDeg
	if boards, err = alleyBoards(s, opt); err != nil {
		return nil, nil, err
	}
	main := middleBoard(boards)
	scene := sceneOf(s, boards, main, main.Camera.Ray(at))
	return scene, reduced.Look(scene.hints(3 * vanishSDDeg)), nil
}

// rowsAhead takes the board as standing on the alley's centre line before a
// camera on it: the alley runs to the board.
func rowsAhead(b *calibrate.BoardPose) calibrate.Vec3 { return b.ToCamera(calibrate.SheetCentre()) }

// levelPitchDeg is the camera's pitch if the rows' vanishing point is level.
func levelPitchDeg(b *calibrate.BoardPose, at calibrate.Pixel) float64 {
	// The level line runs through the point along the board's bottom edge: the
	// board's down axis must be square to the sight of it.
	ray := b.Camera.Ray(at)
	edge := b.R.Col(0)
	roll := math.Atan2(edge[1], edge[0])
	y := ray[1]*math.Cos(roll) - ray[0]*math.Sin(roll)
	return math.Atan(y) * 180 / math.Pi
}

// sceneOf lays the axes: up from the plumb board, ahead where the rows run.
func sceneOf(s Shot, boards []*calibrate.BoardPose, main *calibrate.BoardPose, rows calibrate.Vec3) *alleyScene {
	ground := main.UprightGround(s.Set.StandHeightM)
	up := ground.Normal
	ahead := rows.Sub(up.Scale(rows.Dot(up))).Unit()
	c := &alleyScene{
		pose: main, boards: boards, standM: s.Set.StandHeightM,
		right: ahead.Cross(up), ahead: ahead, up: up,
		cameraM: ground.CameraHeightM(), number: main.Number,
	}
	if s.Sun != nil {
		c.sunUpDeg = math.Max(0, s.Sun.ElevationDeg)
	}
	mid := main.ToCamera(calibrate.SheetCentre())
	c.boardXM, c.boardYM = mid.Dot(c.right), mid.Dot(ahead)
	c.vanishing, _ = main.Camera.Project(ahead)
	return c
}

const (
	// The floor's seed: half a metre to each side of the line from the camera to
	// the board and on, which the narrowest alley leaves open, from where the
	// photo begins to twice the board's distance.
	seedHalfM, seedNearM, seedFarOver = 0.4, 1.2, 1.8
)

// hints draws what geometry knows across the photo; slackDeg is the level
// line's error.
func (c *alleyScene) hints(slackDeg float64) alleyview.Hints {
	f := c.pose.Camera.FPx
	slope := -c.right.Dot(calibrate.Vec3{0, 1, 0})
	if n := c.right[0]; n != 0 {
		slope = c.right[1] / n
	}
	van := c.vanishing
	h := alleyview.Hints{
		HorizonY: func(x float64) float64 { return van.Y + slope*(x-van.X) },
		SlackPx:  f * math.Tan(slackDeg*math.Pi/180),
	}
	far := seedFarOver * c.boardYM
	farX := c.boardXM * seedFarOver
	nearX := c.boardXM * seedNearM / c.boardYM
	for i, q := range [4][2]float64{{farX - seedHalfM, far}, {farX + seedHalfM, far}, {nearX + seedHalfM, seedNearM}, {nearX - seedHalfM, seedNearM}} {
		h.FloorSeed[i], _ = c.pixel(q[0], q[1], 0)
	}
	for _, b := range c.boards {
		var sheet [4]calibrate.Pixel
		for i, p := range calibrate.SheetCorners() {
			sheet[i], _ = b.Project(p)
		}
		h.Sheets = append(h.Sheets, sheet)
	}
	return h
}
