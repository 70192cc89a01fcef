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

// String is the sky's name as the truth files write it.
func (s Sky) String() string { return [...]string{"clear", "hazy", "overcast"}[s] }

// The sky's tints: a camera balanced for daylight shows direct sun a little warm
// and a clear sky blue (5 000-5 800 K against 10 000 K and more; from memory).
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

// air is a photo's sky worked out.
type air struct {
	sky             Sky
	direct, diffuse float64
	tint            RGB
}

// air returns the shot's sky; a Diffuse of its own moves a sky with a sun along
// the way from clear to hazy and on.
func (s *Shot) air() air {
	direct, diffuse := s.Sky.shares()
	a := air{s.Sky, direct, diffuse, s.Sky.tint()}
	if s.Diffuse <= 0 || s.Sky == Overcast {
		return a
	}
	_, clear := Clear.shares()
	hazyBeam, hazy := Hazy.shares()
	hazy /= hazyBeam + hazy
	t := (s.Diffuse - clear) / (hazy - clear)
	whole := 1 - 0.1*max(0, t) // haze takes some of the whole light away
	a.direct, a.diffuse = whole*(1-s.Diffuse), whole*s.Diffuse
	a.tint = Clear.tint().mix(Hazy.tint(), min(1.3, max(-0.2, t)))
	return a
}

// sunTint is the colour of direct sun: warmer as it sinks under 40 degrees.
func sunTint(sun Sun) RGB {
	low := smooth((40 - sun.ElevationDeg) / 40)
	return RGB{1.05, 1.00, 0.90}.mix(RGB{1.25, 0.95, 0.60}, 0.7*low)
}

// sunNormal is the direct light on a plane that faces the sun.
func (a air) sunNormal(sun Sun) float64 {
	return a.direct / max(0.2, math.Sin(sun.ElevationDeg*degree))
}

// radiance is the sky's brightness toward a unit direction. Overcast is the CIE
// standard overcast sky, (1 + 2 sin e)/3 of the zenith; a clear one brightens
// toward the horizon and round the sun. Level light is diffuse within a few
// hundredths of shares.
func (a air) radiance(d, toSun Vec3) RGB {
	e := max(0, d.Z)
	mean := a.diffuse / math.Pi
	if a.sky == Overcast {
		// The level light of this sky is 7/9 pi of its zenith's radiance.
		return a.tint.scale(mean * 9 / 7 * (1 + 2*e) / 3)
	}
	near := max(0, d.Dot(toSun))
	glow := 0.8 * math.Pow(near, 12) // the bright haze round the sun
	white := math.Pow(1-e, 4)        // long air paths near the horizon are pale
	tint := a.tint.mix(RGB{0.95, 1.0, 1.08}, min(1, 0.75*white+0.5*glow))
	return tint.scale(mean * (0.80 + 0.9*white + glow))
}
