package scene

import (
	"math"
	"time"
)

// SunDiscDeg is the angle the sun's disc spans (mean over the year 0.533).
const SunDiscDeg = 0.53

// Sun is where the sun stands.
type Sun struct {
	ElevationDeg float64 // above the level horizon, without refraction
	AzimuthDeg   float64 // from true north, clockwise
}

// Direction points from the ground to the middle of the sun, length 1.
func (s Sun) Direction() Vec3 {
	h := Heading(s.AzimuthDeg)
	se, ce := math.Sincos(s.ElevationDeg * degree)
	return Vec3{h.X * ce, h.Y * ce, se}
}

// SunAt returns the sun's place by the short series of Meeus, Astronomical
// Algorithms (2nd edition 1998), chapters 12, 13 and 25 (low accuracy, 0.01
// degree). It is written again here on purpose, independent of calibrate.
func SunAt(t time.Time, latitudeDeg, longitudeDeg float64) Sun {
	jd := float64(t.UTC().UnixNano())/86400e9 + 2440587.5 // the Julian day of 1970-01-01
	c := (jd - 2451545) / 36525                           // Julian centuries from J2000
	ra, dec := sunEquatorial(c)
	sidereal := 280.46061837 + 360.98564736629*(jd-2451545) + 0.000387933*c*c
	hour := (sidereal+longitudeDeg)*degree - ra
	sl, cl := math.Sincos(latitudeDeg * degree)
	sd, cd := math.Sincos(dec)
	sh, ch := math.Sincos(hour)
	elevation := math.Asin(sl*sd + cl*cd*ch)
	azimuth := math.Atan2(-cd*sh, sd*cl-cd*ch*sl)
	return Sun{elevation / degree, math.Mod(azimuth/degree+360, 360)}
}

// sunEquatorial returns right ascension and declination, radians, at c Julian
// centuries from J2000 (Meeus 25.2 to 25.8).
func sunEquatorial(c float64) (ra, dec float64) {
	l := 280.46646 + 36000.76983*c + 0.0003032*c*c
	m := (357.52911 + 35999.05029*c - 0.0001537*c*c) * degree
	centre := (1.914602-0.004817*c)*math.Sin(m) + (0.019993-0.000101*c)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	node := (125.04 - 1934.136*c) * degree
	lon := (l + centre - 0.00569 - 0.00478*math.Sin(node)) * degree
	tilt := (23.439291 - 0.0130042*c + 0.00256*math.Cos(node)) * degree
	sl, cl := math.Sincos(lon)
	st, ct := math.Sincos(tilt)
	return math.Atan2(ct*sl, cl), math.Asin(st * sl)
}

// discDirections returns n directions spread evenly over the sun's disc (a
// sunflower spiral: equal areas, no rows). The disc is taken as evenly bright.
func discDirections(sun Sun, n int) []Vec3 {
	d := sun.Direction()
	u, v := basis(d)
	radius := math.Tan(SunDiscDeg / 2 * degree)
	golden := math.Pi * (3 - math.Sqrt(5))
	out := make([]Vec3, n)
	for i := range out {
		r := radius * math.Sqrt((float64(i)+0.5)/float64(n))
		s, c := math.Sincos(golden * float64(i))
		out[i] = d.Add(u.Scale(r * c)).Add(v.Scale(r * s)).Unit()
	}
	return out
}

// skyDirections returns n directions spread evenly over the upper half of the
// sky, equal solid angles (a spherical spiral).
func skyDirections(n int) []Vec3 {
	golden := math.Pi * (3 - math.Sqrt(5))
	out := make([]Vec3, n)
	for i := range out {
		z := (float64(i) + 0.5) / float64(n)
		s, c := math.Sincos(golden * float64(i))
		h := math.Sqrt(1 - z*z)
		out[i] = Vec3{h * c, h * s, z}
	}
	return out
}
