package main

import "rowlight/internal/scene"

// film is the picture's format: pixels as seen, lens, how it is stored.
type film struct {
	width, height int
	focal35       int
	k1, k2        float64
	orientation   int
}

// drawFilm draws a format; usual is the practice set's longer side, pixels.
func drawFilm(rnd *scene.Rand, usual int, portrait float64) film {
	f := film{orientation: 1, focal35: 22 + int(rnd.Float()*14)}
	if chance(rnd, 0.4) {
		f.focal35 = 26 // most phones
	}
	long := usual
	if chance(rnd, 0.5) {
		long = int(float64(usual)*rnd.Between(0.7, 1.35)) / 16 * 16
	}
	short := ways(rnd, 3.0/4, 3.0/4, 2.0/3, 9.0/16)
	f.width, f.height = long, int(float64(long)*short)/2*2
	if chance(rnd, 0.3) {
		// Barrel and pincushion of lenses that correct little (from memory).
		f.k1 = rnd.Between(-0.06, 0.03)
		f.k2 = -0.3 * f.k1
	}
	if chance(rnd, portrait) {
		f.width, f.height = f.height, f.width
		f.orientation = ways(rnd, 1, 6, 8)
	}
	return f
}

// enlarge sets a 4:3 format with a longer side of so many pixels, upright where it was;
// 0 leaves it. Four by three is the tallest format drawn, so that nothing falls out of view.
func (f *film) enlarge(longPx int) {
	if longPx <= 0 {
		return
	}
	long, short := longPx, longPx*3/4/2*2
	if f.width < f.height {
		long, short = short, long
	}
	f.width, f.height = long, short
}

// look is what the camera makes of the light.
type look struct {
	scene.Look
	fullWell float64
	quality  int
}

// drawLook draws it; under a grey sky a phone lets the sky burn out for the sake of
// the trees.
func drawLook(rnd *scene.Rand, l0 light) look {
	l := look{fullWell: ways(rnd, 1200.0, 2500, 4000, 6000), quality: 75 + int(rnd.Float()*21)}
	l.Stops = max(-1, min(0.8, 0.35*rnd.Normal()-0.1))
	if l0.sky == scene.Overcast {
		l.Stops += rnd.Between(0.5, 1.8)
	}
	l.Warm, l.Green = 0.06*rnd.Normal(), 0.025*rnd.Normal()
	l.Tone = rnd.Between(0, 0.9)
	l.LocalTone = max(0, rnd.Between(-0.1, 0.3))
	if chance(rnd, 0.4) {
		l.MotionPx, l.MotionTurn = rnd.Between(0.3, 2.5), rnd.Between(0, 180)
	}
	return l
}

func (p *plan) exif() scene.Exif {
	return scene.Exif{Taken: p.light.taken, LatitudeDeg: p.light.lat, LongitudeDeg: p.light.lon,
		Orientation: p.film.orientation, Focal35mm: p.film.focal35, Quality: p.look.quality}
}
