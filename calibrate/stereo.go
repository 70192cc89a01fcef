package calibrate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Match is one point of the scene seen in both photos of a pair.
type Match struct{ First, Second Pixel }

// The unknowns of a pair: the board's pose in either photo, and one focal length,
// one distortion and one print scale for both (the camera and the sheet are the same).
const (
	pairParams  = 2*poseOnly + 3
	poseOnly    = 6 // rotation 3, translation 3
	pairFocal   = 2 * poseOnly
	pairBend    = pairFocal + 1 // K1
	pairScale   = pairBend + 1
	pairFitted  = pairParams - 1 // the print's scale cannot be seen from the corners
	pairRounds  = 40
	madToNormal = 1.4826 // median absolute deviation to standard deviation, normal law
)

const (
	// The matches' loss is narrowed in steps from agreePx, by pairNarrowing, down to
	// their own noise.
	pairNarrowing = 0.6
	// matchLeastSDPx: no lens is so free of distortion, nor a leaf so still, that a
	// match fits the pinhole better than this.
	matchLeastSDPx = 0.20
	// matchCutSD: matches farther than this from their line are of two different
	// points.
	matchCutSD = 3.5
	// leastMatches is the fewest that may speak for the relative pose: five unknowns
	// (direction of the step, rotation), each then known twice over and more.
	leastMatches = 16
	// matchesTogether: matches err together (one tree's leaves, one lens, one
	// shutter), so that however many they are they say no more than this many.
	matchesTogether = 100.0
)

// PairPose is where two photos of one board, by one camera, stand to each other.
// First and Second are the board's poses in the two photos, with one focal length.
type PairPose struct {
	First, Second *BoardPose
	// Cov is the covariance of the unknowns: rotation and translation (rad, m) of
	// the first pose, of the second, ln focal, K1, ln board scale.
	Cov [pairParams][pairParams]float64
	// Matches is how many points besides the boards' corners fix the step, and
	// MatchSDPx how far they lie from their lines.
	Matches   int
	MatchSDPx float64
}

// Relative returns the motion from the first camera's frame into the second's:
// X2 = R X1 + T, metres.
func (p *PairPose) Relative() (r Mat3, t Vec3) {
	r = p.Second.R.Mul(p.First.R.T())
	return r, p.Second.T.Sub(r.MulVec(p.First.T))
}

// Step is where the second camera stands in the first camera's frame, metres.
func (p *PairPose) Step() Vec3 {
	r, t := p.Relative()
	return r.T().MulVec(t).Scale(-1)
}

// Across is where a pixel of the first photo may show in the second: between the
// two pixels that stand for the depths nearM and farM along its sight. ok is false
// where one of them lies behind the second camera.
func (p *PairPose) Across(first Pixel, nearM, farM float64) (near, far Pixel, ok bool) {
	r, t := p.Relative()
	ray := r.MulVec(p.First.Camera.Ray(first))
	near, ok1 := p.Second.Camera.Project(ray.Scale(nearM).Add(t))
	far, ok2 := p.Second.Camera.Project(ray.Scale(farM).Add(t))
	return near, far, ok1 && ok2
}

// Moved returns the pair with its unknowns changed by d.
func (p *PairPose) Moved(d [pairParams]float64) *PairPose {
	out := *p
	var a, b [paramCount]float64
	copy(a[:poseOnly], d[:poseOnly])
	copy(b[:poseOnly], d[poseOnly:pairFocal])
	a[poseOnly], b[poseOnly] = d[pairFocal], d[pairFocal]
	a[poseOnly+1], b[poseOnly+1] = d[pairScale], d[pairScale]
	out.First, out.Second = p.First.Moved(a), p.Second.Moved(b)
	out.First.Camera.K1 += d[pairBend]
	out.Second.Camera.K1 += d[pairBend]
	return &out
}

// Propagate evaluates a length that depends on the pair and its standard
// deviation, by central differences through the covariance.
func (p *PairPose) Propagate(fn func(*PairPose) float64) Length {
	var grad [pairParams]float64
	for i := range grad {
		h := 0.1 * math.Sqrt(p.Cov[i][i])
		if h == 0 {
			continue
		}
		var up, down [pairParams]float64
		up[i], down[i] = h, -h
		grad[i] = (fn(p.Moved(up)) - fn(p.Moved(down))) / (2 * h)
	}
	var v float64
	for i := range grad {
		for j := range grad {
			v += grad[i] * p.Cov[i][j] * grad[j]
		}
	}
	return Length{fn(p), math.Sqrt(math.Max(v, 0))}
}

// SolvePair finds how two photos of one upright board stand to each other. The
// board alone is too small for it (0.42 m at several metres leaves the direction
// of sight open by half a degree), so points of the scene that both photos show
// join in: each must lie on the line that the other photo's sight draws (epipolar
// constraint, Hartley and Zisserman 2004, ch. 9 and 11; distance by Sampson's
// first-order formula, 11.4.3). The board fixes the scale. Wrong matches are left
// out by a loss that is narrowed down to the matches' own noise. Too few matches
// leave the two board poses as they are, with their own errors.
func SolvePair(cam Camera, first, second []MarkerSighting, matches []Match, opt PoseOptions) (*PairPose, error) {
	p := &pairProblem{}
	var err error
	if p.first, err = newPoseProblem(cam, first, opt); err != nil {
		return nil, err
	}
	if p.second, err = newPoseProblem(cam, second, opt); err != nil {
		return nil, err
	}
	if p.first.number != p.second.number {
		return nil, fmt.Errorf("calibrate: solve pair: boards %d and %d are not one: %w", p.first.number, p.second.number, ErrNoPose)
	}
	a, err := SolveBoard(cam, first, opt)
	if err != nil {
		return nil, err
	}
	b, err := SolveBoard(cam, second, opt)
	if err != nil {
		return nil, err
	}
	p.matches, p.bendSD = matches, bendHeldSD
	return p.best(a, b), nil
}

// best starts from every pairing of the two boards' possible poses and keeps the
// one that fits best.
func (p *pairProblem) best(a, b *BoardPose) *PairPose {
	var out *PairPose
	cost := math.Inf(1)
	for _, first := range withAlternate(a) {
		for _, second := range withAlternate(b) {
			q := p.solve(first, second)
			if c := p.cost(q); out == nil || c < cost {
				out, cost = q, c
			}
		}
	}
	out = p.bent(out)
	p.finish(out)
	return out
}

func withAlternate(b *BoardPose) []*BoardPose {
	if b.Alternate == nil {
		return []*BoardPose{b}
	}
	return []*BoardPose{b, b.Alternate}
}

// pairProblem is a pair's least squares.
type pairProblem struct {
	first, second *poseProblem
	matches       []Match
	sdPx          float64 // of the matches, as the loss is set now
	bendSD        float64 // of K1, as it is held now
}

func (p *pairProblem) solve(first, second *BoardPose) *PairPose {
	focal := math.Sqrt(first.Camera.FPx * second.Camera.FPx)
	a, b := *first, *second
	a.Alternate, b.Alternate = nil, nil
	a.Camera.FPx, b.Camera.FPx = focal, focal
	return p.narrowed(p.start(&PairPose{First: &a, Second: &b}))
}

// narrowed fits under a loss that is narrowed down to the matches' own noise.
func (p *pairProblem) narrowed(cur *PairPose) *PairPose {
	for p.sdPx = agreePx; ; p.sdPx *= pairNarrowing {
		cur = p.refine(cur)
		noise, n := p.noisePx(cur)
		if n < leastMatches {
			p.matches = nil
		}
		if floor := math.Max(noise, matchLeastSDPx); p.sdPx <= floor || len(p.matches) == 0 {
			p.sdPx = floor
			break
		}
	}
	cur = p.refine(cur)
	cur.MatchSDPx, cur.Matches = p.noisePx(cur)
	return cur
}

// refine is Levenberg-Marquardt.
func (p *pairProblem) refine(cur *PairPose) *PairPose {
	cost, lambda := p.cost(cur), 1e-3
	normal, grad := p.normalEquations(cur)
	for range pairRounds {
		next := p.step(cur, normal, grad, lambda)
		if next == nil {
			break
		}
		c := p.cost(next)
		if !(c < cost) {
			if lambda *= 10; lambda > 1e8 {
				break
			}
			continue
		}
		done := cost-c < 1e-6*(1+c)
		cur, cost, lambda = next, c, math.Max(lambda/10, 1e-9)
		if done {
			break
		}
		normal, grad = p.normalEquations(cur)
	}
	return cur
}

func (p *pairProblem) step(cur *PairPose, normal *mat.SymDense, grad *mat.VecDense, lambda float64) *PairPose {
	step, ok := dampedDescent(normal, grad, lambda)
	if !ok {
		return nil
	}
	var d [pairParams]float64
	copy(d[:], step)
	return cur.Moved(d)
}
