package stereo

import (
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/vision"
)

// A picture and its copy moved by 5 px correlate fully where the disparity says so, in
// either direction, and not at all (within chance: 49 independent codes give
// 1/sqrt(49) = 0.14 in the mean square) where it says something else.
func TestAlikeTellsTheRightDisparity(t *testing.T) {
	const w, h, moved = 120, 60, 5
	rng := rand.New(rand.NewPCG(1, 2))
	for _, rightward := range [2]bool{false, true} {
		a, b := &Grey{w, h, make([]uint8, w*h)}, &Grey{w, h, make([]uint8, w*h)}
		for i := range a.Pix {
			a.Pix[i] = uint8(rng.UintN(256))
		}
		for y := range h {
			for x := range w {
				to := x - moved
				if rightward {
					to = x + moved
				}
				if to >= 0 && to < w {
					b.Pix[y*w+to] = a.Pix[y*w+x]
				}
			}
		}
		d := vision.NewRaster(w, h)
		for i := range d.V {
			if d.V[i] = moved; i%w > w/2 {
				d.V[i] = moved + 4
			}
		}
		d.V[30*w+30] = float32(math.NaN())
		got := Alike(a, b, d, rightward)
		if v := got.V[30*w+20]; v < 0.999 {
			t.Errorf("rightward %v: %.3f at the right disparity, want 1", rightward, v)
		}
		if v := got.V[30*w+30]; v == v {
			t.Errorf("rightward %v: %.3f without a disparity, want NaN", rightward, v)
		}
		if v := got.V[0]; v == v {
			t.Errorf("rightward %v: %.3f at the corner, want NaN", rightward, v)
		}
		var sum, n float64
		for y := 10; y < h-10; y++ {
			for x := w/2 + 10; x < w-20; x++ {
				v := float64(got.V[y*w+x])
				sum, n = sum+v*v, n+1
			}
		}
		if rms := math.Sqrt(sum / n); rms > 0.25 {
			t.Errorf("rightward %v: %.3f in the mean square at a wrong disparity, chance gives 0.14", rightward, rms)
		}
	}
}
