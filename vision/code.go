package vision

import "math/bits"

const (
	// innerModules of a marker's side carry its code.
	innerModules = MarkerModules - 2
	// moduleSteps squared places of each module are read, over its middle half.
	moduleSteps = 3
	// mostBitsOff of 25 may be misread: DICT_5X5_100's codes differ by 7 and more,
	// and OpenCV takes one for granted as well.
	mostBitsOff = 1
	// mostBorderOff of the border's 24 modules may look white, under a sun patch or a
	// twig (OpenCV's own figure is 8).
	mostBorderOff = 8
)

// squareTo maps the unit square onto a quad: Heckbert 1989, "Fundamentals of texture
// mapping", from memory; checked against Homography by a test.
type squareTo struct{ a, b, c, d, e, f, g, h float64 }

func newSquareTo(q quad) squareTo {
	dx1, dx2, dx3 := q[1].X-q[2].X, q[3].X-q[2].X, q[0].X-q[1].X+q[2].X-q[3].X
	dy1, dy2, dy3 := q[1].Y-q[2].Y, q[3].Y-q[2].Y, q[0].Y-q[1].Y+q[2].Y-q[3].Y
	det := dx1*dy2 - dx2*dy1
	g, h := (dx3*dy2-dx2*dy3)/det, (dx1*dy3-dx3*dy1)/det
	return squareTo{
		a: q[1].X - q[0].X + g*q[1].X, b: q[3].X - q[0].X + h*q[3].X, c: q[0].X,
		d: q[1].Y - q[0].Y + g*q[1].Y, e: q[3].Y - q[0].Y + h*q[3].Y, f: q[0].Y,
		g: g, h: h,
	}
}

func (s *squareTo) at(u, v float64) (x, y float64) {
	k := 1 / (s.g*u + s.h*v + 1)
	return (s.a*u + s.b*v + s.c) * k, (s.d*u + s.e*v + s.f) * k
}

// modules reads the mean code of each module of a marker that fills a quad; ok is
// false where the quad reaches out of the photo.
func (l *lightPlane) modules(q quad) (mean [MarkerModules][MarkerModules]float64, ok bool) {
	to := newSquareTo(q)
	for r := range MarkerModules {
		for c := range MarkerModules {
			sum := 0
			for k := range moduleSteps * moduleSteps {
				u := float64(c) + 0.25 + 0.25*float64(k%moduleSteps)
				v := float64(r) + 0.25 + 0.25*float64(k/moduleSteps)
				x, y := to.at(u/MarkerModules, v/MarkerModules)
				if !(x >= 0 && y >= 0 && x < float64(l.w-1) && y < float64(l.h-1)) {
					return mean, false
				}
				sum += int(l.code(int(x+0.5), int(y+0.5)))
			}
			mean[r][c] = float64(sum) / (moduleSteps * moduleSteps)
		}
	}
	return mean, true
}

// readCode tells which marker fills a quad and turns the quad so that it begins at the
// marker's own top left; ok is false where no marker's code stands there.
func (s *markerSearch) readCode(q quad) (id int, turned quad, ok bool) {
	mean, ok := s.light.modules(q)
	if !ok {
		return 0, q, false
	}
	code, ok := inkCode(&mean)
	if !ok {
		return 0, q, false
	}
	for turn := range 4 {
		for id, want := range s.codes {
			if bits.OnesCount32(code^want) <= mostBitsOff {
				for k := range q {
					turned[k] = q[(k+turn)%4]
				}
				return id, turned, true
			}
		}
		code = quarterTurn(code)
	}
	return 0, q, false
}

// inkCode splits the modules into ink and paper and returns the inner ones; ok is
// false where the border is not of ink.
func inkCode(mean *[MarkerModules][MarkerModules]float64) (code uint32, ok bool) {
	level, off := inkLevel(mean), 0
	for r, row := range mean {
		for c, v := range row {
			inner := r > 0 && c > 0 && r <= innerModules && c <= innerModules
			switch {
			case inner:
				code <<= 1
				if v > level {
					code |= 1
				}
			case v > level:
				off++
			}
		}
	}
	return code, off <= mostBorderOff
}

// inkLevel is the code that parts the modules' means best (Otsu 1979).
func inkLevel(mean *[MarkerModules][MarkerModules]float64) float64 {
	var hist [256]int
	n, sum := 0, 0
	for _, row := range mean {
		for _, v := range row {
			hist[int(v)]++
			n++
			sum += int(v)
		}
	}
	best, level := -1.0, 0
	low, lowSum := 0, 0
	for v, k := range hist {
		if low, lowSum = low+k, lowSum+k*v; low == 0 || low == n {
			continue
		}
		a, b := float64(lowSum)/float64(low), float64(sum-lowSum)/float64(n-low)
		if between := float64(low) * float64(n-low) * (a - b) * (a - b); between > best {
			best, level = between, v
		}
	}
	return float64(level) + 1
}

// quarterTurn is the code read from the next corner clockwise on.
func quarterTurn(code uint32) (out uint32) {
	const n = innerModules
	for r := range n {
		for c := range n {
			// What stood in row r, column c is, seen from the next corner, in column r
			// from the top: row n-1-c.
			if code>>(n*n-1-(r*n+c))&1 == 1 {
				out |= 1 << (n*n - 1 - ((n-1-c)*n + r))
			}
		}
	}
	return out
}
