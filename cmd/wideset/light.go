package main

import (
	"math"
	"time"

	"rowlight/internal/scene"
)

// light is a photo's sun, sky, time and place.
type light struct {
	sun      scene.Sun
	sky      scene.Sky
	diffuse  float64
	taken    time.Time
	lat, lon float64
}

// drawLight finds a day, hour and place whose sun stands between two elevations.
func drawLight(rnd *scene.Rand, lowDeg, highDeg, overcast float64) light {
	want := rnd.Between(lowDeg, highDeg)
	l := light{sky: scene.Clear, diffuse: 0.10 + 0.08*rnd.Float()}
	switch {
	case chance(rnd, overcast):
		l.sky = scene.Overcast
	case chance(rnd, 0.35):
		l.sky, l.diffuse = scene.Hazy, rnd.Between(0.2, 0.42)
	}
	const nearDeg = 1.0
	for {
		l.lat, l.lon = rnd.Between(-38, 38), rnd.Between(-170, 170)
		zone := time.FixedZone("", int(math.Round(l.lon/15))*3600)
		l.taken = time.Date(2025, 1, 1, 6, 0, 0, 0, zone).AddDate(0, 0, int(rnd.Between(0, 365))).
			Add(time.Duration(rnd.Between(0, 12*3600)) * time.Second)
		l.sun = scene.SunAt(l.taken, l.lat, l.lon)
		if math.Abs(l.sun.ElevationDeg-want) < nearDeg {
			return l
		}
	}
}
