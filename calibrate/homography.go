package calibrate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrDegenerate marks points that fix no homography: fewer than four, or in line.
var ErrDegenerate = errors.New("points do not fix a homography")

// Homography returns H with to ~ H*from, H[2][2] = 1, by the normalised direct
// linear transform (Hartley and Zisserman 2004, Multiple View Geometry, ch. 4,
// algorithm 4.2; quoted from memory).
func Homography(from, to []Pixel) (Mat3, error) {
	if len(from) != len(to) || len(from) < 4 {
		return Mat3{}, fmt.Errorf("calibrate: homography of %d and %d points: %w", len(from), len(to), ErrDegenerate)
	}
	tf, nf := normalise(from)
	tt, nt := normalise(to)
	a := mat.NewDense(2*len(from), 9, nil)
	for i := range nf {
		x, y, u, v := nf[i].X, nf[i].Y, nt[i].X, nt[i].Y
		a.SetRow(2*i, []float64{-x, -y, -1, 0, 0, 0, u * x, u * y, u})
		a.SetRow(2*i+1, []float64{0, 0, 0, -x, -y, -1, v * x, v * y, v})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDFullV) {
		return Mat3{}, fmt.Errorf("calibrate: homography: %w", ErrDegenerate)
	}
	s := svd.Values(nil)
	if s[7] < 1e-9*s[0] {
		return Mat3{}, fmt.Errorf("calibrate: homography: %w", ErrDegenerate)
	}
	var v mat.Dense
	svd.VTo(&v)
	var h Mat3
	for i := range 9 {
		h[i/3][i%3] = v.At(i, 8)
	}
	return scaleToOne(inverseSimilarity(tt).Mul(h).Mul(tf))
}

func scaleToOne(h Mat3) (Mat3, error) {
	k := h[2][2]
	if math.Abs(k) < 1e-14 {
		return Mat3{}, fmt.Errorf("calibrate: homography: %w", ErrDegenerate)
	}
	for i := range 3 {
		for j := range 3 {
			h[i][j] /= k
		}
	}
	return h, nil
}

// Apply maps a point by the homography.
func (m Mat3) Apply(p Pixel) Pixel {
	v := m.MulVec(Vec3{p.X, p.Y, 1})
	return Pixel{v[0] / v[2], v[1] / v[2]}
}

// normalise moves the points' centroid to the origin and their mean distance to
// sqrt(2), and returns the similarity that does it.
func normalise(pts []Pixel) (Mat3, []Pixel) {
	var c Pixel
	for _, p := range pts {
		c.X += p.X / float64(len(pts))
		c.Y += p.Y / float64(len(pts))
	}
	var mean float64
	for _, p := range pts {
		mean += p.Dist(c) / float64(len(pts))
	}
	s := 1.0
	if mean > 0 {
		s = math.Sqrt2 / mean
	}
	out := make([]Pixel, len(pts))
	for i, p := range pts {
		out[i] = Pixel{s * (p.X - c.X), s * (p.Y - c.Y)}
	}
	return Mat3{{s, 0, -s * c.X}, {0, s, -s * c.Y}, {0, 0, 1}}, out
}

func inverseSimilarity(t Mat3) Mat3 {
	s := t[0][0]
	return Mat3{{1 / s, 0, -t[0][2] / s}, {0, 1 / s, -t[1][2] / s}, {0, 0, 1}}
}
