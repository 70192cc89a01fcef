package scene

import "math"

// Look is what a camera makes of a picture beyond its exposure. The zero value is
// the plain sRGB curve.
type Look struct {
	Stops      float64 // exposure beside the meter's, stops
	Warm       float64 // white balance off the daylight's, positive redder, about -0.15..0.15
	Green      float64 // the same, green against magenta
	Tone       float64 // 0..1: contrast of the tone curve
	LocalTone  float64 // 0..0.4: how much of the slow differences of light is evened out
	MotionPx   float64 // length of a hand's shake, pixels
	MotionTurn float64 // its direction, degrees
}

// balance is the gain of each channel.
func (l Look) balance() [3]float64 {
	return [3]float64{1 + l.Warm, 1 + l.Green, 1 - l.Warm}
}

// toneCurve mixes an S into codes 0..1: shadows deeper, highlights brighter, mid
// grey kept about where it was.
func toneCurve(c, strength float64) float64 {
	if strength == 0 {
		return c
	}
	const pivot = 0.46 // sRGB code of 18 % grey
	s := smooth(math.Pow(c, math.Log(0.5)/math.Log(pivot)))
	s = math.Pow(s, math.Log(pivot)/math.Log(0.5))
	return c + strength*(s-c)
}

// moved smears a frame along a line.
func (f *Frame) moved(lengthPx, turnDeg float64) *Frame {
	const steps = 5
	s, c := math.Sincos(turnDeg * degree)
	out := &Frame{f.W, f.H, make([]RGB, len(f.Px))}
	for k := range steps {
		d := ((float64(k)+0.5)/steps - 0.5) * lengthPx
		f.addShifted(out, c*d, s*d, 1.0/steps)
	}
	return out
}

// addShifted adds a part of the frame, moved by a piece of a pixel, to another.
func (f *Frame) addShifted(out *Frame, dx, dy, part float64) {
	fx, fy := math.Floor(dx), math.Floor(dy)
	tx, ty := dx-fx, dy-fy
	w := [4]float64{(1 - tx) * (1 - ty), tx * (1 - ty), (1 - tx) * ty, tx * ty}
	for k, share := range w {
		if share == 0 {
			continue
		}
		ox, oy := int(fx)+k%2, int(fy)+k/2
		for y := range f.H {
			sy := clampInt(float64(y+oy), 0, f.H-1)
			for x := range f.W {
				p := f.Px[sy*f.W+clampInt(float64(x+ox), 0, f.W-1)]
				i := y*f.W + x
				out.Px[i] = out.Px[i].add(p.scale(part * share))
			}
		}
	}
}
