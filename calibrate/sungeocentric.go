package calibrate

import (
	"math"
	"time"
)

// geocentricSun is the sun from the Earth's centre with what leads to it, all
// degrees but the radius.
type geocentricSun struct {
	julianDay                 float64
	longitudeDeg, latitudeDeg float64 // the Earth's, heliocentric
	radiusAU                  float64
	nutationLonDeg            float64
	nutationOblDeg            float64
	obliquityDeg              float64 // true
	siderealDeg               float64 // apparent, at Greenwich
	rightAscensionDeg         float64
	declinationDeg            float64
}

const (
	unixEpochJD   = 2440587.5
	j2000JD       = 2451545.0
	secondsPerDay = 86400.0
	daysPerJC     = 36525.0
	// aberrationArcSec at one astronomical unit.
	aberrationArcSec = 20.4898
)

// julianDay of a UTC instant, days.
func julianDay(t time.Time) float64 {
	return unixEpochJD + (float64(t.Unix())+float64(t.Nanosecond())/1e9)/secondsPerDay
}

// geocentric follows sections 3.1 to 3.10 of the report.
func geocentric(t time.Time, deltaTSec float64) geocentricSun {
	if deltaTSec == 0 {
		deltaTSec = DeltaTSec(t)
	}
	g := geocentricSun{julianDay: julianDay(t)}
	jde := g.julianDay + deltaTSec/secondsPerDay
	jce := (jde - j2000JD) / daysPerJC
	jme := jce / 10
	g.longitudeDeg = wrap360(series(earthLongitudeTerms(), jme) * degreesPerRadian)
	g.latitudeDeg = series(earthLatitudeTerms(), jme) * degreesPerRadian
	g.radiusAU = series(earthRadiusTerms(), jme)
	g.nutationLonDeg, g.nutationOblDeg = nutation(jce)
	g.obliquityDeg = meanObliquityArcSec(jme)/3600 + g.nutationOblDeg
	g.siderealDeg = siderealTime(g)
	g.rightAscensionDeg, g.declinationDeg = equatorial(g)
	return g
}

// series sums the rows of terms times the powers of tau, out of units of 1e-8.
func series(rows [][]periodicTerm, tau float64) float64 {
	var sum float64
	for i := len(rows) - 1; i >= 0; i-- {
		var row float64
		for _, t := range rows[i] {
			row += t.a * math.Cos(t.b+t.c*tau)
		}
		sum = sum*tau + row
	}
	return sum * 1e-8
}

// nutation returns the nutation in longitude and in obliquity, degrees, at a
// time in Julian ephemeris centuries from 2000.
func nutation(t float64) (lonDeg, oblDeg float64) {
	x := [5]float64{
		297.85036 + t*(445267.111480+t*(-0.0019142+t/189474)),
		357.52772 + t*(35999.050340+t*(-0.0001603-t/300000)),
		134.96298 + t*(477198.867398+t*(0.0086972+t/56250)),
		93.27191 + t*(483202.017538+t*(-0.0036825+t/327270)),
		125.04452 + t*(-1934.136261+t*(0.0020708+t/450000)),
	}
	for _, n := range nutationTerms() {
		var arg float64
		for i := range x {
			arg += n.y[i] * x[i]
		}
		s, c := math.Sincos(arg * radiansPerDegree)
		lonDeg += (n.a + n.b*t) * s
		oblDeg += (n.c + n.d*t) * c
	}
	const unit = 36e6 // of 1e-4 arc seconds in a degree
	return lonDeg / unit, oblDeg / unit
}

// meanObliquityArcSec of the ecliptic, tau in Julian ephemeris millennia.
func meanObliquityArcSec(tau float64) float64 {
	u := tau / 10
	coeffs := [...]float64{84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45}
	var sum float64
	for i := len(coeffs) - 1; i >= 0; i-- {
		sum = sum*u + coeffs[i]
	}
	return sum
}

// siderealTime is the apparent sidereal time at Greenwich, degrees.
func siderealTime(g geocentricSun) float64 {
	d := g.julianDay - j2000JD
	jc := d / daysPerJC
	mean := 280.46061837 + 360.98564736629*d + jc*jc*(0.000387933-jc/38710000)
	return wrap360(mean) + g.nutationLonDeg*math.Cos(g.obliquityDeg*radiansPerDegree)
}

// equatorial turns the apparent ecliptic place of the sun into right ascension
// and declination, degrees.
func equatorial(g geocentricSun) (raDeg, declDeg float64) {
	lambda := g.longitudeDeg + 180 + g.nutationLonDeg - aberrationArcSec/3600/g.radiusAU
	sinL, cosL := math.Sincos(lambda * radiansPerDegree)
	sinE, cosE := math.Sincos(g.obliquityDeg * radiansPerDegree)
	sinB, cosB := math.Sincos(-g.latitudeDeg * radiansPerDegree)
	ra := math.Atan2(sinL*cosE-sinB/cosB*sinE, cosL)
	decl := math.Asin(clamp(sinB*cosE+cosB*sinE*sinL, -1, 1))
	return wrap360(ra * degreesPerRadian), decl * degreesPerRadian
}
