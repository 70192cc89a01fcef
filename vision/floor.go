package vision

// #include "floor.h"
import "C"

import "unsafe"

// FloorEnds are sums over a floor.
type FloorEnds struct {
	Count       int
	Green, Blue float64
	Burnt, Dark int // pixels of light at or over the first limit in every channel, of green at or under the second
}

// FloorEnds sums up the marked pixels.
func (l *Linear) FloorEnds(in []bool, burnt, dark float32) FloorEnds {
	var s [C.RL_ENDS]float64
	if len(in) > 0 {
		C.rl_floor_ends(boolsOf(in), floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.float(burnt), C.float(dark), C.int(len(in)), doublesOf(s[:]))
	}
	return FloorEnds{Count: int(s[0]), Green: s[1], Blue: s[2], Burnt: int(s[3]), Dark: int(s[4])}
}

// FloorLights are sums over a floor's shade and its sun, in that order.
type FloorLights struct {
	Count  [2]int
	Colour [2][3]float64 // red, green, blue of what has not lost its colour
	// ShadeRed and ShadeBlue are of all the shade.
	ShadeRed, ShadeBlue float64
}

// FloorLights sums up the marked pixels whose fraction lies under shade, and over sun;
// colour only where every channel is under most.
func (l *Linear) FloorLights(in []bool, fraction []float32, shade, sun, most float32) FloorLights {
	var s [C.RL_LIGHTS]float64
	if len(in) > 0 {
		C.rl_floor_lights(boolsOf(in), floatsOf(fraction), floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), C.float(shade), C.float(sun), C.float(most), C.int(len(in)), doublesOf(s[:]))
	}
	return FloorLights{
		Count:    [2]int{int(s[0]), int(s[4])},
		Colour:   [2][3]float64{{s[1], s[2], s[3]}, {s[5], s[6], s[7]}},
		ShadeRed: s[8], ShadeBlue: s[9],
	}
}

// FloorLine is a feature's line over the log light, and one spread about it.
type FloorLine struct{ A, B, Spread float64 }

// Strange is how a shaded floor looks, to hold its pixels against.
type Strange struct {
	// Red and Blue are of ln red and ln blue over ln green; Texture counts only where
	// there is less.
	Red, Blue, Texture FloorLine
	Low, High          float64 // where the lines end; beyond they stand still
	// DawnRed and DawnBlue point from the shade's colour to the sun's: up to DawnMost of it
	// is no strangeness.
	DawnRed, DawnBlue, DawnMost float64
}

// Of writes how strange each shaded pixel is, a sum of squares in spreads, 0 elsewhere.
// red, green, blue, texture and light are logarithms; out may be any of them.
func (s Strange) Of(shade []bool, red, green, blue, texture, light, out []float32) {
	if len(shade) == 0 {
		return
	}
	var lines [3]C.rl_floor_line
	for k, l := range [3]FloorLine{s.Red, s.Blue, s.Texture} {
		lines[k] = C.rl_floor_line{C.float(l.A), C.float(l.B), C.float(1 / l.Spread)}
	}
	C.rl_floor_strange(boolsOf(shade), floatsOf(red), floatsOf(green), floatsOf(blue), floatsOf(texture), floatsOf(light),
		C.float(s.Low), C.float(s.High), &lines[0], C.float(s.DawnRed), C.float(s.DawnBlue), C.float(s.DawnMost), C.int(len(shade)), floatsOf(out))
}

// Unmixing splits a floor's light between shade and sun.
type Unmixing struct {
	KG, KB   float32   // of green and blue in the light that is split
	Shade    []float32 // the shade's light, cell by cell (BroadCell)
	Contrast float64   // sun over shade
	Half     float32   // from here on the smooth light is lit
}

// Unmix leaves of fraction what is on the floor, and writes there where each pixel's light
// lies between shade (0) and sun (1), and whether the smooth light is lit; elsewhere all is
// nought. It returns the sums of the shade's light and of its square over the floor.
// linear may be smooth.
func (u Unmixing) Unmix(l *Linear, in []bool, smooth, fraction, linear []float32, lit []bool) (first, second float64) {
	if len(in) == 0 {
		return 0, 0
	}
	cellsW, cellsH := BroadSize(l.W, l.H)
	row := make([]float32, l.W+3*BroadCell+cellsW)
	var sums [2]float64
	C.rl_floor_unmix(boolsOf(in), floatsOf(l.G), C.float(u.KG), floatsOf(l.B), C.float(u.KB), floatsOf(smooth),
		floatsOf(u.Shade), C.int(cellsW), C.int(cellsH), C.float(u.Contrast), C.float(u.Half), C.int(l.W), C.int(l.H),
		floatsOf(fraction), floatsOf(linear), (*C.uchar)(unsafe.Pointer(&lit[0])), doublesOf(sums[:]), floatsOf(row))
	return sums[0], sums[1]
}

// SquareOff writes the square of how far a lies off b.
func SquareOff(a, b, out []float32) {
	if len(a) > 0 {
		C.rl_floor_square(floatsOf(a), floatsOf(b), C.int(len(a)), floatsOf(out))
	}
}

// LnRoot writes ln(root of v + above); out may be v.
func LnRoot(v []float32, above float32, out []float32) {
	if len(v) > 0 {
		C.rl_floor_ln_root(floatsOf(v), C.float(above), C.int(len(v)), floatsOf(out))
	}
}
