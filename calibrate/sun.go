package calibrate

import (
	"math"
	"time"
)

// SunOptions are the air and the clock that the sun's place depends on a
// little. The zero value is right for a photo: sea level, standard air.
type SunOptions struct {
	ElevationM float64 // above sea level
	// PressureMbar and TemperatureC bend the light near the horizon. Pressure 0
	// takes the standard atmosphere at ElevationM, its temperature with it.
	PressureMbar, TemperatureC float64
	// DeltaTSec is terrestrial time less universal time; 0 takes DeltaTSec of
	// the year. A whole minute of it moves the sun by 0.0007 degrees.
	DeltaTSec float64
}

// Sun is where the sun stands for a person on the ground, in degrees.
type Sun struct {
	ElevationDeg float64 // above the horizon, refraction included
	ZenithDeg    float64 // 90 - ElevationDeg
	AzimuthDeg   float64 // from true north, clockwise (east 90), 0..360
	// TrueElevationDeg leaves the air's refraction out.
	TrueElevationDeg float64
	DeclinationDeg   float64 // topocentric
	HourAngleDeg     float64 // topocentric, -180..180, afternoon positive
	DiameterDeg      float64 // of its disc, which sets the width of penumbra
}

const (
	// sunDiameterDeg: the disc at one astronomical unit, 2 x 959.63 arc seconds.
	sunDiameterDeg = 0.533128
	// sunRadiusDeg and horizonRefractionDeg say down to where refraction is
	// counted (Reda and Andreas 2004, section 3.14).
	sunRadiusDeg         = 0.26667
	horizonRefractionDeg = 0.5667
	// solarParallaxArcSec at one astronomical unit.
	solarParallaxArcSec = 8.794
	earthRadiusM        = 6378140.0
	earthFlattening     = 0.99664719 // polar over equatorial radius
	radiansPerDegree    = math.Pi / 180
)

// SunPosition returns where the sun stands at t, seen from a latitude (north
// positive) and longitude (east positive) in degrees. It is the solar position
// algorithm of Reda and Andreas 2004, Solar Energy 76:577-589
// (NREL/TP-560-34302), good to 0.0003 degrees from the year -2000 to 6000;
// universal time is taken as UTC (under a second apart).
func SunPosition(t time.Time, latDeg, lonDeg float64, opt SunOptions) Sun {
	g := geocentric(t, opt.DeltaTSec)
	hour := wrap180(g.siderealDeg + lonDeg - g.rightAscensionDeg)
	dAlpha, decl := parallax(g, hour, latDeg, opt.ElevationM)
	hourTop := hour - dAlpha

	sinLat, cosLat := math.Sincos(latDeg * radiansPerDegree)
	sinDec, cosDec := math.Sincos(decl * radiansPerDegree)
	sinH, cosH := math.Sincos(hourTop * radiansPerDegree)
	trueElev := math.Asin(clamp(sinLat*sinDec+cosLat*cosDec*cosH, -1, 1)) * degreesPerRadian
	elev := trueElev + refractionDeg(trueElev, opt)
	az := math.Atan2(sinH*cosDec, cosH*cosDec*sinLat-sinDec*cosLat) * degreesPerRadian
	return Sun{
		ElevationDeg: elev, ZenithDeg: 90 - elev, AzimuthDeg: wrap360(az + 180),
		TrueElevationDeg: trueElev, DeclinationDeg: decl, HourAngleDeg: hourTop,
		DiameterDeg: sunDiameterDeg / g.radiusAU,
	}
}

// parallax returns the change of right ascension and the topocentric
// declination, both in degrees, for an observer off the Earth's centre.
func parallax(g geocentricSun, hourDeg, latDeg, elevationM float64) (dAlphaDeg, declDeg float64) {
	sinXi := math.Sin(solarParallaxArcSec / 3600 / g.radiusAU * radiansPerDegree)
	lat := latDeg * radiansPerDegree
	u := math.Atan(earthFlattening * math.Tan(lat))
	x := math.Cos(u) + elevationM/earthRadiusM*math.Cos(lat)
	y := earthFlattening*math.Sin(u) + elevationM/earthRadiusM*math.Sin(lat)
	sinH, cosH := math.Sincos(hourDeg * radiansPerDegree)
	sinD, cosD := math.Sincos(g.declinationDeg * radiansPerDegree)
	dAlpha := math.Atan2(-x*sinXi*sinH, cosD-x*sinXi*cosH)
	decl := math.Atan2((sinD-y*sinXi)*math.Cos(dAlpha), cosD-x*sinXi*cosH)
	return dAlpha * degreesPerRadian, decl * degreesPerRadian
}

// refractionDeg is how much the air lifts the sun (Saemundsson's form, as the
// algorithm has it); nothing once the whole disc is below the horizon.
func refractionDeg(trueElevDeg float64, opt SunOptions) float64 {
	if trueElevDeg < -(sunRadiusDeg + horizonRefractionDeg) {
		return 0
	}
	p, t := opt.PressureMbar, opt.TemperatureC
	if p <= 0 {
		p, t = standardAir(opt.ElevationM)
	}
	e := trueElevDeg + 10.3/(trueElevDeg+5.11)
	return p / 1010 * 283 / (273 + t) * 1.02 / (60 * math.Tan(e*radiansPerDegree))
}

// standardAir is the International Standard Atmosphere below 11 km (ISO 2533).
func standardAir(elevationM float64) (mbar, celsius float64) {
	h := clamp(elevationM, -500, 9000)
	return 1013.25 * math.Pow(1-2.25577e-5*h, 5.25588), 15 - 0.0065*h
}

// DeltaTSec estimates terrestrial less universal time in seconds from the
// polynomials of Espenak and Meeus 2006 (from memory) for 1986 to 2050, and
// their long-term parabola elsewhere; a few seconds off, which is of no account
// here.
func DeltaTSec(t time.Time) float64 {
	year := float64(t.UTC().Year()) + (float64(t.UTC().YearDay())-0.5)/365.25
	y := year - 2000
	switch {
	case year >= 1986 && year < 2005:
		return 63.86 + y*(0.3345+y*(-0.060374+y*(0.0017275+y*(0.000651814+y*0.00002373599))))
	case year >= 2005 && year < 2050:
		return 62.92 + y*(0.32217+y*0.005589)
	default:
		c := (year - 1820) / 100
		return -20 + 32*c*c
	}
}

func wrap360(deg float64) float64 {
	if deg = math.Mod(deg, 360); deg < 0 {
		deg += 360
	}
	return deg
}

func wrap180(deg float64) float64 {
	if deg = wrap360(deg); deg > 180 {
		deg -= 360
	}
	return deg
}
