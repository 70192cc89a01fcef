package calibrate

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoPose marks a board whose markers fix no pose.
var ErrNoPose = errors.New("board pose cannot be found")

// MarkerSighting is one marker found in the photo: its id and its corners in
// the marker's own order (top left, top right, bottom right, bottom left).
type MarkerSighting struct {
	ID      int
	Corners [4]Pixel
}

// PoseOptions says what is known besides the corners.
type PoseOptions struct {
	// CornerSDPx is the least corner noise assumed, one standard deviation.
	// 0 takes 0.25 px, what sub-pixel refinement reaches on print in shade.
	CornerSDPx float64
	// BoardScaleRelSD is the print's scale error, one standard deviation.
	// 0 takes 0.3 %, half a millimetre on the 100 mm ruler bar read by eye.
	BoardScaleRelSD float64
	// BoardScale is the printed length over the nominal one, from the ruler
	// bar; 0 takes 1.
	BoardScale float64
	// PitchPrior, when its SDDeg is above 0, holds for an upright board: the
	// camera's pitch above the level, taking the board's face as plumb.
	PitchPrior struct{ MeanDeg, SDDeg float64 }
	// CameraHeightPrior, when its SDM is above 0, holds for an upright board.
	CameraHeightPrior CameraHeight
}

const (
	defaultCornerSDPx   = 0.25
	defaultScaleRelSD   = 0.003
	huberK              = 1.345 // 95 % efficiency on normal noise (Huber 1964)
	paramCount          = 8     // rotation 3, translation 3, ln f, ln board scale
	maxIterations       = 60
	ambiguityChi2       = 9.0 // the mirrored pose is kept as possible up to 3 sigma
	minMarkersForPose   = 2   // eight corners against seven unknowns with the focal prior
	degreesPerRadian    = 180 / math.Pi
	finiteDifferenceRel = 1e-6
)

// BoardPose is where a board stands in the camera frame, with the covariance of
// its unknowns: rotation (3, rad), translation (3, m), ln focal, ln board scale.
type BoardPose struct {
	Number  int
	Camera  Camera // with the focal length as fitted
	R       Mat3   // board to camera
	T       Vec3   // the sheet's top-left corner in the camera frame, m
	Cov     [paramCount][paramCount]float64
	RMSPx   float64 // of the corners' residuals
	Markers int
	chi2    float64
	// Alternate is the mirrored pose a flat board allows, where the corners
	// cannot rule it out; AlternateWeight is its probability.
	Alternate       *BoardPose
	AlternateWeight float64
}

// ToCamera maps a point of the board frame (m) into the camera frame.
func (b *BoardPose) ToCamera(p Vec3) Vec3 { return b.R.MulVec(p).Add(b.T) }

// ToBoard maps a point of the camera frame (m) into the board frame.
func (b *BoardPose) ToBoard(p Vec3) Vec3 { return b.R.T().MulVec(p.Sub(b.T)) }

// Project returns the pixel of a point of the board frame.
func (b *BoardPose) Project(p Vec3) (Pixel, bool) { return b.Camera.Project(b.ToCamera(p)) }

// ProjectRow fills out with the pixels of evenly spaced points of the board frame, from
// the first on; a point that is not before the camera comes out at (offPhotoPx,
// offPhotoPx), beside any photo.
func (b *BoardPose) ProjectRow(first, step Vec3, out []Pixel) {
	at, by, cam := b.ToCamera(first), b.R.MulVec(step), b.Camera
	plain := cam.Undistorted()
	fy := cam.FyPx()
	for i := range out {
		k := float64(i)
		p := Vec3{at[0] + k*by[0], at[1] + k*by[1], at[2] + k*by[2]}
		if p[2] <= leastDepthM {
			out[i] = Pixel{offPhotoPx, offPhotoPx}
			continue
		}
		x, y := p[0]/p[2], p[1]/p[2]
		if !plain {
			x, y = cam.distort(x, y)
		}
		out[i] = Pixel{cam.FPx*x + cam.CxPx, fy*y + cam.CyPx}
	}
}

const offPhotoPx = -1e9

// PitchDeg is the camera's pitch above the level if the board's face is plumb.
func (b *BoardPose) PitchDeg() float64 {
	return -math.Asin(clamp(b.R.Col(1)[2], -1, 1)) * degreesPerRadian
}

// SolveBoard finds the pose of one board from its markers (all of one board, at
// least two) with the camera's focal length as a prior. Robust least squares
// (Huber) on the corners by Levenberg-Marquardt, started from the homography
// and from its mirror image; the better one is returned, the other kept as
// Alternate when the corners do not rule it out. Seen nearly head-on the pose is
// the mean over the tilts that the corners allow (tilt.go).
func SolveBoard(cam Camera, seen []MarkerSighting, opt PoseOptions) (*BoardPose, error) {
	p, err := newPoseProblem(cam, seen, opt)
	if err != nil {
		return nil, err
	}
	start, err := p.initial()
	if err != nil {
		return nil, err
	}
	first := p.refine(start)
	second := p.refine(mirrored(first))
	if second.chi2 < first.chi2 {
		first, second = second, first
	}
	if math.IsNaN(first.chi2) || !inFront(first) {
		return nil, fmt.Errorf("calibrate: solve board %d: %w", p.number, ErrNoPose)
	}
	p.finish(first)
	if reach := p.nearHeadOn(first); reach > 0 {
		if mean := p.averageOverTilt(first, reach); mean != first {
			return mean, nil
		}
	}
	if d := second.chi2 - first.chi2; d < ambiguityChi2 && inFront(second) && different(first, second) {
		p.finish(second)
		first.Alternate = second
		first.AlternateWeight = 1 / (1 + math.Exp(d/2))
	}
	return first, nil
}

type poseProblem struct {
	cam    Camera
	opt    PoseOptions
	number int
	count  int
	points []Vec3
	pixels []Pixel
	room   poseRoom
}

// poseRoom is where a pose is worked out: a solution tries some thousand poses that
// differ in a place and a turn.
type poseRoom struct {
	tried    BoardPose
	res, w   []float64
	raised   [fitted][]float64
	solution normalSystem
}

func newPoseProblem(cam Camera, seen []MarkerSighting, opt PoseOptions) (*poseProblem, error) {
	if opt.CornerSDPx <= 0 {
		opt.CornerSDPx = defaultCornerSDPx
	}
	if opt.BoardScaleRelSD <= 0 {
		opt.BoardScaleRelSD = defaultScaleRelSD
	}
	if opt.BoardScale <= 0 {
		opt.BoardScale = 1
	}
	p := &poseProblem{cam: cam, opt: opt, count: len(seen)}
	if len(seen) < minMarkersForPose {
		return nil, fmt.Errorf("calibrate: solve board: %d marker(s), need %d: %w", len(seen), minMarkersForPose, ErrNoPose)
	}
	p.number = BoardNumber(seen[0].ID)
	for _, m := range seen {
		corners, ok := MarkerCorners(m.ID)
		if !ok || BoardNumber(m.ID) != p.number {
			return nil, fmt.Errorf("calibrate: solve board %d: marker %d is not its own: %w", p.number, m.ID, ErrNoPose)
		}
		for _, c := range corners {
			p.points = append(p.points, c.Scale(opt.BoardScale))
		}
		p.pixels = append(p.pixels, m.Corners[:]...)
	}
	return p, nil
}

// initial decomposes the homography of the board (Zhang 2000, section 3.1).
func (p *poseProblem) initial() (*BoardPose, error) {
	from := make([]Pixel, len(p.points))
	to := make([]Pixel, len(p.points))
	for i, b := range p.points {
		r := p.cam.Ray(p.pixels[i])
		from[i], to[i] = Pixel{b[0], b[1]}, Pixel{r[0], r[1]}
	}
	h, err := Homography(from, to)
	if err != nil {
		return nil, fmt.Errorf("calibrate: solve board %d: %w", p.number, err)
	}
	k := 2 / (h.Col(0).Norm() + h.Col(1).Norm())
	if h[2][2] < 0 {
		k = -k
	}
	x := h.Col(0).Scale(k).Unit()
	z := x.Cross(h.Col(1).Scale(k)).Unit()
	return &BoardPose{Number: p.number, Camera: p.cam, R: FromCols(x, z.Cross(x), z), T: h.Col(2).Scale(k), Markers: p.count}, nil
}

// mirrored turns the board's normal to the other side of the line of sight: the
// second of the two poses that a small flat target allows.
func mirrored(b *BoardPose) *BoardPose {
	out := *b
	sight := b.ToCamera(SheetCentre()).Unit()
	n := b.R.Col(2)
	m := sight.Scale(2 * n.Dot(sight)).Sub(n)
	axis := n.Cross(m)
	if axis.Norm() < 1e-9 {
		return &out
	}
	angle := math.Atan2(axis.Norm(), n.Dot(m))
	turn := Rotation(axis.Unit().Scale(angle))
	centre := b.ToCamera(SheetCentre())
	out.R = turn.Mul(b.R)
	out.T = centre.Sub(out.R.MulVec(SheetCentre()))
	return &out
}

// residuals are in units of the corner noise, the priors' rows at the end.
func (p *poseProblem) residuals(b *BoardPose) []float64 {
	return p.residualsInto(make([]float64, 0, 2*len(p.points)+3), b)
}

// residualsInto is residuals in the room of out.
func (p *poseProblem) residualsInto(out []float64, b *BoardPose) []float64 {
	out = out[:0]
	cam := &b.Camera
	plain, fy, sd := cam.Undistorted(), cam.FyPx(), p.opt.CornerSDPx
	for i := range p.points {
		q := b.ToCamera(p.points[i])
		px := Pixel{1e6, 1e6}
		if q[2] > leastDepthM {
			x, y := q[0]/q[2], q[1]/q[2]
			if !plain {
				x, y = cam.distort(x, y)
			}
			px = Pixel{cam.FPx*x + cam.CxPx, fy*y + cam.CyPx}
		}
		out = append(out, (px.X-p.pixels[i].X)/sd, (px.Y-p.pixels[i].Y)/sd)
	}
	out = append(out, p.focalPrior(b))
	if sd := p.opt.PitchPrior.SDDeg; sd > 0 {
		out = append(out, (b.PitchDeg()-p.opt.PitchPrior.MeanDeg)/sd)
	}
	if p.opt.CameraHeightPrior.SDM > 0 {
		out = append(out, p.opt.CameraHeightPrior.residual(b))
	}
	return out
}

// costOf is the robust cost of a pose.
func (p *poseProblem) costOf(b *BoardPose) float64 {
	p.room.res = p.residualsInto(p.room.res, b)
	return p.robustCost(p.room.res)
}

func (p *poseProblem) focalPrior(b *BoardPose) float64 {
	sd := math.Max(p.cam.FRelSD, 1e-6)
	return math.Log(b.Camera.FPx/p.cam.FPx) / sd
}

// weightsInto are Huber's weights, by corner, in the room of w; the priors keep weight 1.
func (p *poseProblem) weightsInto(w, r []float64) []float64 {
	w = w[:0]
	for range r {
		w = append(w, 1)
	}
	for i := range p.points {
		if d := math.Sqrt((r[2*i]*r[2*i] + r[2*i+1]*r[2*i+1]) / 2); d > huberK {
			w[2*i], w[2*i+1] = huberK/d, huberK/d
		}
	}
	return w
}

// robustCost is Huber's loss summed, twice over, so that it reads as chi2.
func (p *poseProblem) robustCost(r []float64) float64 {
	var sum float64
	for i := range p.points {
		d := math.Sqrt((r[2*i]*r[2*i] + r[2*i+1]*r[2*i+1]) / 2)
		if d <= huberK {
			sum += 2 * d * d
		} else {
			sum += 2 * (2*huberK*d - huberK*huberK)
		}
	}
	for _, v := range r[2*len(p.points):] {
		sum += v * v
	}
	return sum
}

// refine runs Levenberg-Marquardt on the seven unknowns besides the scale.
func (p *poseProblem) refine(start *BoardPose) *BoardPose {
	cur, lambda := start, 1e-3
	cur.chi2 = p.costOf(cur)
	normal := p.normalEquations(cur)
	for range maxIterations {
		next, step := p.tryStep(cur, normal, lambda)
		if next == nil || next.chi2 >= cur.chi2 {
			if lambda *= 10; lambda > 1e9 {
				break
			}
			continue
		}
		small := cur.chi2-next.chi2 < 1e-9*(1+cur.chi2) && step < 1e-7
		cur, lambda = next, math.Max(lambda/10, 1e-9)
		if small {
			break
		}
		normal = p.normalEquations(cur)
	}
	return cur
}

const fitted = paramCount - 1 // the board's scale cannot be seen from the corners

// normalEquations are those of the fitted unknowns at a pose; they stand until the next
// are asked for.
func (p *poseProblem) normalEquations(b *BoardPose) *normalSystem {
	return p.normalBy(b, fitted, func(i int) (d [paramCount]float64) {
		d[i] = finiteDifferenceRel
		return d
	})
}

// normalBy is the normal system of n unknowns, by differences: raised is the move of the
// pose that raises one of them by finiteDifferenceRel.
func (p *poseProblem) normalBy(b *BoardPose, n int, raised func(unknown int) [paramCount]float64) *normalSystem {
	room := &p.room
	room.res = p.residualsInto(room.res, b)
	room.w = p.weightsInto(room.w, room.res)
	room.tried = *b
	for i := range n {
		b.moveTo(raised(i), &room.tried)
		room.raised[i] = p.residualsInto(room.raised[i], &room.tried)
		for k, r := range room.res {
			room.raised[i][k] = (room.raised[i][k] - r) / finiteDifferenceRel
		}
	}
	room.solution.set(room.raised[:n], room.w, room.res)
	return &room.solution
}

func (p *poseProblem) tryStep(b *BoardPose, normal *normalSystem, lambda float64) (*BoardPose, float64) {
	d, ok := normal.descent(lambda)
	if !ok {
		return nil, 0
	}
	var size float64
	for _, v := range d {
		size = math.Max(size, math.Abs(v))
	}
	next := b.Moved(d)
	next.chi2 = p.costOf(next)
	return next, size
}

// Moved returns the pose with its unknowns changed by d: rotation vector in the
// camera frame (about the sheet's centre), translation, ln focal, ln scale.
func (b *BoardPose) Moved(d [paramCount]float64) *BoardPose {
	out := *b
	out.Alternate = nil
	b.moveTo(d, &out)
	return &out
}

// moveTo is Moved for a pose that is b's but for where the board stands and for the focal
// length.
func (b *BoardPose) moveTo(d [paramCount]float64, out *BoardPose) {
	centre := b.ToCamera(SheetCentre())
	out.R = Rotation(Vec3{d[0], d[1], d[2]}).Mul(b.R)
	out.T = centre.Sub(out.R.MulVec(SheetCentre())).Add(Vec3{d[3], d[4], d[5]}).Scale(math.Exp(d[7]))
	out.Camera.FPx = b.Camera.FPx * math.Exp(d[6])
}

// finish fills the covariance and the residuals' size. Where the corners fit
// worse than the noise assumed, the covariance grows by what was seen.
func (p *poseProblem) finish(b *BoardPose) {
	b.RMSPx = p.rmsPx(b)
	inflate := p.inflation(b)
	if inv, ok := inverse(p.normalEquations(b).matrix()); ok {
		for i := range fitted {
			for j := range fitted {
				b.Cov[i][j] = inv.At(i, j) * inflate
			}
		}
	}
	b.Cov[fitted][fitted] = p.opt.BoardScaleRelSD * p.opt.BoardScaleRelSD
}

// rmsPx is the root mean square distance of the corners from where the pose
// puts them, pixels.
func (p *poseProblem) rmsPx(b *BoardPose) float64 {
	corners := p.residuals(b)[:2*len(p.points)]
	var sum float64
	for _, v := range corners {
		sum += v * v
	}
	return p.opt.CornerSDPx * math.Sqrt(2*sum/float64(len(corners)))
}

// inflation is by how much the corners fit worse than the noise assumed, as a
// variance; 1 at least.
func (p *poseProblem) inflation(b *BoardPose) float64 {
	dof := math.Max(1, float64(2*len(p.points)-fitted+1))
	return math.Max(1, p.robustCost(p.residuals(b))/dof)
}

func inFront(b *BoardPose) bool { return b.ToCamera(SheetCentre())[2] > 0.05 }

func different(a, b *BoardPose) bool {
	return a.R.Col(2).Cross(b.R.Col(2)).Norm() > 0.5/degreesPerRadian
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
