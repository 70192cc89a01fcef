// Package calibrate turns pixels into metres: camera model, board pose,
// planes, lengths and their errors, and the position of the sun.
//
// It knows geometry and no trees, and touches no files and no pixels' values.
//
// Pixel space: x to the right, y down, pixel centres on whole numbers, the
// origin at the centre of the top-left pixel of the oriented photo.
// Camera frame: x right, y down, z forward, metres.
// Board frame: origin at the sheet's top-left corner, x right, y down along the
// printed face, z into the sheet (away from the reader), metres.
package calibrate

import "math"

// Pixel is a point in the oriented photo, pixel centres on whole numbers.
type Pixel struct{ X, Y float64 }

// Sub returns p - q.
func (p Pixel) Sub(q Pixel) Pixel { return Pixel{p.X - q.X, p.Y - q.Y} }

// Dist returns the distance between two points in pixels.
func (p Pixel) Dist(q Pixel) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Vec3 is a point or direction; metres in the frame its owner names.
type Vec3 [3]float64

// Add returns a + b.
func (a Vec3) Add(b Vec3) Vec3 { return Vec3{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

// Sub returns a - b.
func (a Vec3) Sub(b Vec3) Vec3 { return Vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// Scale returns s*a.
func (a Vec3) Scale(s float64) Vec3 { return Vec3{s * a[0], s * a[1], s * a[2]} }

// Dot returns the inner product.
func (a Vec3) Dot(b Vec3) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// Cross returns a x b.
func (a Vec3) Cross(b Vec3) Vec3 {
	return Vec3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// Norm returns the Euclidean length.
func (a Vec3) Norm() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns a/|a|; the zero vector stays zero.
func (a Vec3) Unit() Vec3 {
	n := a.Norm()
	if n == 0 {
		return a
	}
	return a.Scale(1 / n)
}

// Mat3 is a 3x3 matrix in row order.
type Mat3 [3][3]float64

// MulVec returns m*v.
func (m Mat3) MulVec(v Vec3) Vec3 {
	return Vec3{Vec3(m[0]).Dot(v), Vec3(m[1]).Dot(v), Vec3(m[2]).Dot(v)}
}

// Mul returns m*n.
func (m Mat3) Mul(n Mat3) Mat3 {
	var out Mat3
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

// T returns the transpose, which for a rotation is its inverse.
func (m Mat3) T() Mat3 {
	var out Mat3
	for i := range 3 {
		for j := range 3 {
			out[i][j] = m[j][i]
		}
	}
	return out
}

// Col returns column j.
func (m Mat3) Col(j int) Vec3 { return Vec3{m[0][j], m[1][j], m[2][j]} }

// FromCols builds a matrix from its columns.
func FromCols(a, b, c Vec3) Mat3 {
	return Mat3{{a[0], b[0], c[0]}, {a[1], b[1], c[1]}, {a[2], b[2], c[2]}}
}

// Rotation returns the rotation by |w| radians about the axis w (Rodrigues'
// formula); the zero vector gives the identity.
func Rotation(w Vec3) Mat3 {
	theta := w.Norm()
	if theta < 1e-12 {
		return Mat3{{1, -w[2], w[1]}, {w[2], 1, -w[0]}, {-w[1], w[0], 1}}
	}
	k := w.Scale(1 / theta)
	s, c := math.Sincos(theta)
	t := 1 - c
	return Mat3{
		{c + k[0]*k[0]*t, k[0]*k[1]*t - k[2]*s, k[0]*k[2]*t + k[1]*s},
		{k[1]*k[0]*t + k[2]*s, c + k[1]*k[1]*t, k[1]*k[2]*t - k[0]*s},
		{k[2]*k[0]*t - k[1]*s, k[2]*k[1]*t + k[0]*s, c + k[2]*k[2]*t},
	}
}
