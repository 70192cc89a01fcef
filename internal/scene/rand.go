package scene

import "math"

// mix64 is the finaliser of SplitMix64 (Steele, Lea and Flood 2014, "Fast
// splittable pseudorandom number generators"): every input bit moves every
// output bit.
func mix64(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// hash2 turns a seed and a place on a grid into 64 bits: noise that does not
// depend on who asks first.
func hash2(seed uint64, x, y int) uint64 {
	return mix64(seed ^ mix64(uint64(x)*0xd6e8feb86659fd93^mix64(uint64(y))))
}

// unit turns 64 bits into a number in [0, 1).
func unit(h uint64) float64 { return float64(h>>11) / (1 << 53) }

// Rand is a stream of numbers from a seed, the same on every machine.
type Rand struct{ state uint64 }

// NewRand starts a stream; the parts name what it is for.
func NewRand(seed uint64, parts ...uint64) *Rand {
	for _, p := range parts {
		seed = mix64(seed ^ mix64(p))
	}
	return &Rand{seed}
}

// Uint64 returns the next 64 bits.
func (r *Rand) Uint64() uint64 {
	r.state += 0x9e3779b97f4a7c15
	return mix64(r.state)
}

// Float returns a number in [0, 1).
func (r *Rand) Float() float64 { return unit(r.Uint64()) }

// Between returns a number in [a, b).
func (r *Rand) Between(a, b float64) float64 { return a + (b-a)*r.Float() }

// Normal returns a number of mean 0 and standard deviation 1 (Box-Muller).
func (r *Rand) Normal() float64 {
	u := 1 - r.Float()
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*r.Float())
}

// Sphere returns a direction, all equally likely.
func (r *Rand) Sphere() Vec3 {
	z := r.Between(-1, 1)
	s, c := math.Sincos(2 * math.Pi * r.Float())
	h := math.Sqrt(1 - z*z)
	return Vec3{h * c, h * s, z}
}

// Ball returns a point in the unit ball, all places equally likely.
func (r *Rand) Ball() Vec3 { return r.Sphere().Scale(math.Cbrt(r.Float())) }

// valueNoise is smooth noise in [0, 1] over the plane, one knot a unit length.
func valueNoise(seed uint64, x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int(fx), int(fy)
	tx, ty := smooth(x-fx), smooth(y-fy)
	a := unit(hash2(seed, ix, iy))*(1-tx) + unit(hash2(seed, ix+1, iy))*tx
	b := unit(hash2(seed, ix, iy+1))*(1-tx) + unit(hash2(seed, ix+1, iy+1))*tx
	return a*(1-ty) + b*ty
}

// smooth eases t in [0, 1]; outside it is clamped.
func smooth(t float64) float64 {
	t = math.Max(0, math.Min(1, t))
	return t * t * (3 - 2*t)
}
