package floorlight

import (
	"math"

	"rowlight/vision"
)

// toneCurve is the camera's tone curve on top of sRGB: codes c in 0..1 are moved
// part of the way to an S through mid grey. Phones and developers bend codes like
// that (common practice: shadows deeper, lights brighter and a shoulder before
// white, mid grey kept); how far is told from the board's print (print.go).
type toneCurve float64

const (
	// toneMid is the sRGB code of mid grey, 18 % of white: where the S crosses.
	toneMid = 0.46
	// toneSteps is how finely the curve is tabulated to be turned round: straight lines
	// between lie off it by less than 1e-6, a quarter of a thousandth of a code.
	toneSteps = 1024
)

// bend is the curve: code before to code after.
func (k toneCurve) bend(c float64) float64 { return c + float64(k)*(fullS(c)-c) }

// fullS is the curve bent all the way.
func fullS(c float64) float64 {
	p := math.Log(0.5) / math.Log(toneMid)
	s := math.Pow(c, p)
	return math.Pow(s*s*(3-2*s), 1/p)
}

// sTable is fullS at every step and one beyond.
type sTable [toneSteps + 2]float64

func newSTable() *sTable {
	t := &sTable{}
	for i := range t {
		t[i] = fullS(float64(i) / toneSteps)
	}
	return t
}

// light returns the linear light, 0..1, of each 8-bit code.
func (k toneCurve) light() [256]float32 { return k.lightBy(newSTable()) }

// lightBy is light with the table given.
func (k toneCurve) lightBy(s *sTable) (lut [256]float32) {
	bend := func(i int) float64 {
		c := float64(i) / toneSteps
		return c + float64(k)*(s[i]-c)
	}
	at := 0
	for code := range lut {
		c := float64(code) / 255
		for at < toneSteps && bend(at+1) < c {
			at++
		}
		lo, hi := bend(at), bend(at+1)
		t := 0.0
		if hi > lo {
			t = min(max((c-lo)/(hi-lo), 0), 1)
		}
		lut[code] = float32(srgbLight((float64(at) + t) / toneSteps))
	}
	return lut
}

// plain is the light that codes would stand for without the curve.
func (k toneCurve) plain(light float64) float64 {
	return srgbLight(k.bend(vision.LinearToSRGB(light) / 255))
}

// curved turns plain round.
func (k toneCurve) curved(plain float64) float64 {
	lut := k.light()
	code := vision.LinearToSRGB(plain)
	i := min(int(code), 254)
	t := code - float64(i)
	return float64(lut[i])*(1-t) + float64(lut[i+1])*t
}

// srgbLight decodes sRGB, 0..1 to 0..1 (IEC 61966-2-1).
func srgbLight(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}
