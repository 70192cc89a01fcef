package scene

import "math"

// Sky is the weather of a photo.
type Sky int

// The skies.
const (
	Clear Sky = iota
	Hazy
	Overcast
)

// sunTint and the sky's tints: a camera balanced for daylight shows direct sun a
// little warm and a clear sky blue (5 000-5 800 K against 10 000 K and more;
// from memory).
func sunTint() RGB { return RGB{1.05, 1.00, 0.90} }

func (s Sky) tint() RGB {
	switch s {
	case Overcast:
		return RGB{0.98, 1.00, 1.03}
	case Hazy:
		return RGB{0.86, 0.98, 1.22}
	}
	return RGB{0.56, 0.97, 1.75}
}

// shares returns direct and diffuse light on level open ground. Clear: diffuse
// 0.15 of the whole (range 0.10-0.25 at high sun). Haze scatters half the beam.
// A closed grey cloud lets through a third (common practice).
func (s Sky) shares() (direct, diffuse float64) {
	switch s {
	case Overcast:
		return 0, 0.33
	case Hazy:
		return 0.55, 0.35
	}
	return 0.85, 0.15
}

// sunNormal is the direct light on a plane that faces the sun.
func (s Sky) sunNormal(sun Sun) float64 {
	direct, _ := s.shares()
	return direct / max(0.2, math.Sin(sun.ElevationDeg*degree))
}

// radiance is the sky's brightness toward a unit direction. Overcast is the CIE
// standard overcast sky, (1 + 2 sin e)/3 of the zenith; a clear one brightens
// toward the horizon and round the sun. Level light is diffuse within a few
// hundredths of shares.
func (s Sky) radiance(d, toSun Vec3) RGB {
	_, diffuse := s.shares()
	e := max(0, d.Z)
	mean := diffuse / math.Pi
	if s == Overcast {
		// The level light of this sky is 7/9 pi of its zenith's radiance.
		return s.tint().scale(mean * 9 / 7 * (1 + 2*e) / 3)
	}
	near := max(0, d.Dot(toSun))
	glow := 0.8 * math.Pow(near, 12) // the bright haze round the sun
	white := math.Pow(1-e, 4)        // long air paths near the horizon are pale
	tint := s.tint().mix(RGB{0.95, 1.0, 1.08}, min(1, 0.75*white+0.5*glow))
	return tint.scale(mean * (0.80 + 0.9*white + glow))
}
