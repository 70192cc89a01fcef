package stereo

import "math"

const (
	// evenHalfPx is the half width of the neighbourhood that light is evened over:
	// a few leaves, so that a dark tree matches as well as a bright one.
	evenHalfPx = 20
	// evenDark keeps the darkest codes' noise from becoming texture, and evenLeast
	// plain surfaces' (in e-folds of the code).
	evenDark, evenLeast = 4.0, 0.1
	// A standard deviation of the neighbourhood becomes this many codes.
	evenCodes = 50.0
)

// Evened returns the picture with the same local mean and contrast everywhere, of
// the logarithm of its codes: the two photos were exposed and toned one by one.
func Evened(g *Grey) *Grey {
	n := g.W * g.H
	v, sq := make([]float32, n), make([]float32, n)
	for i, c := range g.Pix {
		v[i] = float32(math.Log(float64(c) + evenDark))
	}
	mean := boxMean(v, g.W, g.H, evenHalfPx)
	for i := range v {
		v[i] -= mean[i]
		sq[i] = v[i] * v[i]
	}
	variance := boxMean(sq, g.W, g.H, evenHalfPx)
	out := &Grey{W: g.W, H: g.H, Pix: make([]uint8, n)}
	for i := range v {
		c := 128 + evenCodes*float64(v[i])/(math.Sqrt(float64(variance[i]))+evenLeast)
		out.Pix[i] = uint8(math.Max(0, math.Min(255, c)))
	}
	return out
}

// boxMean averages over (2 half + 1)^2 px, fewer at the edges.
func boxMean(v []float32, w, h, half int) []float32 {
	mid, out := make([]float32, len(v)), make([]float32, len(v))
	for y := range h {
		boxLine(v[y*w:], mid[y*w:], w, 1, half)
	}
	for x := range w {
		boxLine(mid[x:], out[x:], h, w, half)
	}
	return out
}

func boxLine(in, out []float32, count, stride, half int) {
	var sum float64
	n := 0
	for i := -half; i < count; i++ {
		if a := i + half; a < count {
			sum += float64(in[a*stride])
			n++
		}
		if b := i - half - 1; b >= 0 {
			sum -= float64(in[b*stride])
			n--
		}
		if i >= 0 {
			out[i*stride] = float32(sum / float64(n))
		}
	}
}
