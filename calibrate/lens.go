package calibrate

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoLens marks board photos that fix no lens.
var ErrNoLens = errors.New("the photos do not fix the lens")

// Lens is a camera as photos of a flat board showed it, for the picture as stored
// (not turned by EXIF): OpenCV's camera matrix and distortion.
type Lens struct {
	WidthPx, HeightPx      int
	FxPx, FyPx, CxPx, CyPx float64
	K1, K2, P1, P2, K3     float64
	// Cov is the covariance of the nine, in that order; rows of numbers that were
	// held (FixedTerms) are zero.
	Cov            [lensTerms][lensTerms]float64
	RMSPx          float64 // of the corners' distances
	Views, Corners int
	Model          LensModel
}

// lensTerms: fx, fy, cx, cy, k1, k2, p1, p2, k3.
const lensTerms = 9

// LensModel says which distortion terms were fitted; the others are zero.
type LensModel int

// The models, richest first.
const (
	FullLens   LensModel = iota // k1 k2 p1 p2 k3
	RadialLens                  // k1 k2
	PlainLens                   // none
)

// String names the terms.
func (m LensModel) String() string {
	return [...]string{"k1 k2 p1 p2 k3", "k1 k2", "no distortion"}[m]
}

// free says which of the nine numbers a model fits.
func (m LensModel) free() [lensTerms]bool {
	radial, all := m <= RadialLens, m == FullLens
	return [lensTerms]bool{true, true, true, true, radial, radial, all, all, all}
}

func (l *Lens) terms() [lensTerms]float64 {
	return [lensTerms]float64{l.FxPx, l.FyPx, l.CxPx, l.CyPx, l.K1, l.K2, l.P1, l.P2, l.K3}
}

func (l *Lens) setTerms(t [lensTerms]float64) {
	l.FxPx, l.FyPx, l.CxPx, l.CyPx = t[0], t[1], t[2], t[3]
	l.K1, l.K2, l.P1, l.P2, l.K3 = t[4], t[5], t[6], t[7], t[8]
}

// SD returns one standard deviation of each of the nine numbers.
func (l *Lens) SD() [lensTerms]float64 {
	var out [lensTerms]float64
	for i := range out {
		out[i] = math.Sqrt(l.Cov[i][i])
	}
	return out
}

// breathingRelSD: a lens draws out as it focuses nearer; between a board at arm's
// length and a tree some metres off a phone's focal length moves by a few
// thousandths (from memory). No board photo can say it for another distance.
const breathingRelSD = 0.003

// Camera returns the lens as a camera for the picture as stored.
func (l *Lens) Camera() Camera {
	c := Camera{
		WidthPx: l.WidthPx, HeightPx: l.HeightPx, FPx: l.FxPx, FyRel: l.FyPx / l.FxPx, CxPx: l.CxPx, CyPx: l.CyPx,
		K1: l.K1, K2: l.K2, P1: l.P1, P2: l.P2, K3: l.K3,
		FRelSD: math.Hypot(math.Sqrt(l.Cov[0][0])/l.FxPx, breathingRelSD),
		Source: fmt.Sprintf("calibrated from %d board photos", l.Views),
		Spread: &LensSpread{},
	}
	for i := range spreadTerms {
		for j := range spreadTerms {
			c.Spread.Cov[i][j] = l.Cov[2+i][2+j]
		}
	}
	return c
}

// LensSpread is the covariance of a calibrated camera's principal point (px) and
// distortion: cx, cy, k1, k2, p1, p2, k3. The focal length's own is FRelSD.
type LensSpread struct {
	Cov [spreadTerms][spreadTerms]float64
}

const spreadTerms = 7

// moved returns the camera with the spread's numbers changed by d.
func (c Camera) moved(d [spreadTerms]float64) Camera {
	c.CxPx, c.CyPx = c.CxPx+d[0], c.CyPx+d[1]
	c.K1, c.K2, c.P1, c.P2, c.K3 = c.K1+d[2], c.K2+d[3], c.P1+d[4], c.P2+d[5], c.K3+d[6]
	return c
}

// variance carries the spread through a length at a fixed pose, to first order. A
// pose solved again would take part of it back, so this errs to the wide side.
func (s *LensSpread) variance(b *BoardPose, fn func(*BoardPose) float64) float64 {
	var grad [spreadTerms]float64
	for i := range spreadTerms {
		sd := math.Sqrt(s.Cov[i][i])
		if sd == 0 {
			continue
		}
		var up, down [spreadTerms]float64
		up[i], down[i] = 0.1*sd, -0.1*sd
		a, c := *b, *b
		a.Camera, c.Camera = b.Camera.moved(up), b.Camera.moved(down)
		if d := (fn(&a) - fn(&c)) / (0.2 * sd); !math.IsNaN(d) {
			grad[i] = d
		}
	}
	var v float64
	for i := range spreadTerms {
		for j := range spreadTerms {
			v += grad[i] * s.Cov[i][j] * grad[j]
		}
	}
	return math.Max(v, 0)
}

// slopeArea is how large a piece of the plane at depth 1 a pixel sees.
func (c Camera) slopeArea(px Pixel) float64 {
	if c.Undistorted() {
		return 1 / (c.FPx * c.FyPx())
	}
	a, b := c.Ray(Pixel{px.X - 1, px.Y}), c.Ray(Pixel{px.X + 1, px.Y})
	d, e := c.Ray(Pixel{px.X, px.Y - 1}), c.Ray(Pixel{px.X, px.Y + 1})
	ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], e[0]-d[0], e[1]-d[1]
	return math.Abs(ux*vy-uy*vx) / 4
}
