package vision

// #include "blend.h"
import "C"

import "math"

const (
	// BlendParts are full shade, full sun, and penumbra between them.
	BlendParts = C.RL_BLEND_PARTS
	// BlendSteps divides how many pixels BlendPixels holds.
	BlendSteps = C.RL_BLEND_STEPS
)

// Blend is a mixture of normals, all of one spread, of how light lies on a floor. A pixel
// has three numbers: the ln of its green, and the ln of its red and of its blue over
// green, each less Reference. The rows of Whiten (one number, two, three) bring them to a
// scale on which a part falls off by 1/2 to the power of the squared distance from its
// Middle, which is given so; Weight is what stands before that. The first of each pair is
// for whole pixels, the second for those whose red is burnt out, with nothing of red in it.
type Blend struct {
	Reference [3]float32
	Whiten    [2][6]float32
	Middle    [2][BlendParts][3]float32
	Weight    [2][BlendParts]float32
}

// BlendPixels are pixels less a Blend's reference: light, red and blue as there, Whole 1 or
// 0 where red is burnt out. There are a multiple of BlendSteps of them, best the whole ones
// together: eight alike take half the time.
type BlendPixels struct{ Light, Red, Blue, Whole []float32 }

// BlendLight are sums over pixels, each weighed by how much of it shade, or sun, explains.
type BlendLight struct {
	Weight, WholeWeight                          float64
	Light, Blue, LightLight, LightBlue, BlueBlue float64
	Red, RedLight, RedRed, RedBlue               float64 // over whole pixels
}

// BlendSums are sums over pixels.
type BlendSums struct {
	Weight       [BlendParts]float64
	LnLikelihood float64
	Lights       [2]BlendLight // shade, sun
}

func (b *Blend) c() *C.rl_blend {
	out := &C.rl_blend{}
	for i, v := range b.Reference {
		out.reference[i] = C.float(v)
	}
	for q := range 2 {
		for i, v := range b.Whiten[q] {
			out.whiten[q][i] = C.float(v)
		}
		for k := range BlendParts {
			out.power[q][k] = C.float(math.Log2(float64(b.Weight[q][k])))
			for i, v := range b.Middle[q][k] {
				out.middle[q][k][i] = C.float(v)
			}
		}
	}
	return out
}

// Sums adds up pixels; without any all is nought. LnLikelihood is worked out if scored.
func (b *Blend) Sums(p BlendPixels, scored bool) (s BlendSums) {
	if len(p.Light) == 0 {
		return s
	}
	if len(p.Light)%BlendSteps != 0 {
		panic("vision: blend: pixels that are no multiple of BlendSteps")
	}
	var v [C.RL_BLEND_SUMS]float64
	score := C.int(0)
	if scored {
		score = 1
	}
	C.rl_blend_sums(b.c(), floatsOf(p.Light), floatsOf(p.Red), floatsOf(p.Blue), floatsOf(p.Whole), C.int(len(p.Light)), score, doublesOf(v[:]))
	copy(s.Weight[:], v[:BlendParts])
	s.LnLikelihood = v[BlendParts]
	for k := range s.Lights {
		l := v[BlendParts+1+k*C.RL_BLEND_LIGHT:]
		s.Lights[k] = BlendLight{
			Weight: l[0], WholeWeight: l[1], Light: l[2], Blue: l[3], LightLight: l[4], LightBlue: l[5], BlueBlue: l[6],
			Red: l[7], RedLight: l[8], RedRed: l[9], RedBlue: l[10],
		}
	}
	return s
}

// Fractions writes at each marked pixel the mean of the parts' fractions, each weighed by
// how much it explains of the pixel. light is the ln of green made even; red, green and
// blue are logarithms as seen; red over burnt counts for nothing. Elsewhere out is left alone. out may
// be light.
func (b *Blend) Fractions(fraction [BlendParts]float32, in []bool, light, red, green, blue []float32, burnt float32, out []float32) {
	if len(out) > 0 {
		C.rl_blend_fractions(b.c(), floatsOf(fraction[:]), boolsOf(in), floatsOf(light), floatsOf(red), floatsOf(green), floatsOf(blue),
			C.float(burnt), C.int(len(out)), floatsOf(out))
	}
}

// MarkedSums adds up a and b over the marked pixels.
func MarkedSums(in []bool, a, b []float32) (sumA, sumB float64) {
	var sums [2]float64
	if len(a) > 0 {
		C.rl_blend_both(boolsOf(in), floatsOf(a), floatsOf(b), C.int(len(a)), doublesOf(sums[:]))
	}
	return sums[0], sums[1]
}

// MoveToward moves a by weight toward b at each marked pixel.
func MoveToward(in []bool, a, b []float32, weight float32) {
	if len(a) > 0 {
		C.rl_blend_toward(boolsOf(in), floatsOf(b), C.float(weight), C.int(len(a)), floatsOf(a))
	}
}
