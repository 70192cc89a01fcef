package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// smoothAt is the definition: the kernel's weighted mean of what is marked.
func smoothAt(v []float32, in []bool, w, x, y int, kernel []float32) float64 {
	at := func(d int) float64 { return float64(kernel[max(d, -d)]) }
	var sum, part float64
	for dy := 1 - len(kernel); dy < len(kernel); dy++ {
		for dx := 1 - len(kernel); dx < len(kernel); dx++ {
			px, py := x+dx, y+dy
			if px < 0 || py < 0 || px >= w || py*w >= len(v) || in != nil && !in[py*w+px] {
				continue
			}
			k := at(dx) * at(dy)
			sum, part = sum+k*float64(v[py*w+px]), part+k
		}
	}
	if in == nil {
		return sum
	}
	return sum / part
}

// Against the definition, over marks with holes, whole blocks and empty ones, on a raster
// whose width is no whole number of blocks, and larger and smaller than the kernel. A
// float's sums of some hundred terms of about 1 are good to 1e-5.
func TestSmoothIsTheMeanOfTheMarked(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	kernel := []float32{0.3, 0.2, 0.1, 0.05}
	var s Smoother
	for _, size := range [][2]int{{203, 40}, {64, 5}, {7, 3}, {1, 1}} {
		w, h := size[0], size[1]
		a, b, in := make([]float32, w*h), make([]float32, w*h), make([]bool, w*h)
		for i := range a {
			a[i], b[i] = rng.Float32(), rng.Float32()
			x, y := i%w, i/w
			in[i] = x < 120 && (y > 25 || x > 50 || rng.IntN(3) > 0) || w < 20
		}
		for _, marks := range [][]bool{in, nil} {
			sum, own := make([]float32, w*h), append([]float32(nil), b...)
			s.Smooth(marks, w, kernel,
				Source{Plane: [3][]float32{a, b}, K: [3]float32{2, 0.5}, Out: sum},
				Source{Plane: [3][]float32{own}, K: [3]float32{1}, LnAbove: 0.25, Out: own})
			both := make([]float32, w*h)
			for i := range both {
				both[i] = 2*a[i] + 0.5*b[i]
			}
			for i := range sum {
				if !in[i] && marks != nil {
					continue
				}
				want := smoothAt(both, marks, w, i%w, i/w, kernel)
				wantOwn := math.Log(smoothAt(b, marks, w, i%w, i/w, kernel) + 0.25)
				if math.Abs(float64(sum[i])-want) > 1e-5 || math.Abs(float64(own[i])-wantOwn) > 1e-5 {
					t.Fatalf("%d x %d, marks %v, pixel %d: %g and %g, want %g and %g", w, h, marks != nil, i, sum[i], own[i], want, wantOwn)
				}
			}
		}
	}
}
