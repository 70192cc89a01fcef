package scene

import "math"

// Vec3 is a point or a direction in the world, metres: east, north, up.
type Vec3 struct{ X, Y, Z float64 }

// Add returns a + b.
func (a Vec3) Add(b Vec3) Vec3 { return Vec3{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec3) Sub(b Vec3) Vec3 { return Vec3{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Scale returns s*a.
func (a Vec3) Scale(s float64) Vec3 { return Vec3{s * a.X, s * a.Y, s * a.Z} }

// Dot returns the inner product.
func (a Vec3) Dot(b Vec3) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross returns a x b.
func (a Vec3) Cross(b Vec3) Vec3 {
	return Vec3{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Norm returns the length.
func (a Vec3) Norm() float64 { return math.Sqrt(a.Dot(a)) }

// Unit returns a with length 1; the zero vector stays zero.
func (a Vec3) Unit() Vec3 {
	n := a.Norm()
	if n == 0 {
		return a
	}
	return a.Scale(1 / n)
}

// Heading returns the level unit vector that points to an azimuth, degrees from
// true north, clockwise.
func Heading(azimuthDeg float64) Vec3 {
	s, c := math.Sincos(azimuthDeg * degree)
	return Vec3{s, c, 0}
}

const degree = math.Pi / 180

// basis returns two unit vectors square to the unit vector n and to each other.
func basis(n Vec3) (u, v Vec3) {
	up := Vec3{0, 0, 1}
	if math.Abs(n.Z) > 0.99 { // too near the pole for a sound cross product
		up = Vec3{0, 1, 0}
	}
	u = up.Cross(n).Unit()
	return u, n.Cross(u)
}

// RGB is linear light or reflectance in the sRGB primaries.
type RGB [3]float32

func (a RGB) add(b RGB) RGB            { return RGB{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a RGB) mul(b RGB) RGB            { return RGB{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }
func (a RGB) scale(s float64) RGB      { k := float32(s); return RGB{a[0] * k, a[1] * k, a[2] * k} }
func (a RGB) mix(b RGB, t float64) RGB { return a.scale(1 - t).add(b.scale(t)) }

// lum is the luminance, weights of IEC 61966-2-1.
func (a RGB) lum() float64 {
	return 0.2126*float64(a[0]) + 0.7152*float64(a[1]) + 0.0722*float64(a[2])
}
