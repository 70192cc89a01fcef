package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func noise(n int) []float32 {
	rnd := rand.New(rand.NewPCG(uint64(n), 5))
	v := make([]float32, n)
	for i := range v {
		v[i] = rnd.Float32()
	}
	return v
}

// slowly is the two-way blur by definition: weight(d) of a pixel d away.
func slowly(v []float32, w int, reach int, weight func(d int) float64) []float64 {
	h := len(v) / w
	out := make([]float64, len(v))
	for y := range h {
		for x := range w {
			for dy := -reach; dy <= reach; dy++ {
				for dx := -reach; dx <= reach; dx++ {
					if X, Y := x+dx, y+dy; X >= 0 && Y >= 0 && X < w && Y < h {
						out[y*w+x] += weight(dx) * weight(dy) * float64(v[Y*w+X])
					}
				}
			}
		}
	}
	return out
}

func agrees(t *testing.T, name string, got []float32, want []float64) {
	t.Helper()
	for i := range got {
		if math.Abs(float64(got[i])-want[i]) > 2e-6 { // a float's last bits, summed
			t.Fatalf("%s at %d: %.7f, want %.7f", name, i, got[i], want[i])
		}
	}
}

// Blurs are those of their definition, on rasters wider and narrower than their reach.
func TestBlursByDefinition(t *testing.T) {
	kernel := []float32{0.3, 0.2, 0.1, 0.05}
	for _, size := range [][2]int{{23, 17}, {5, 40}, {40, 4}, {1, 9}, {7, 1}, {33, 33}} {
		w, h := size[0], size[1]
		v := noise(w * h)
		want := slowly(v, w, 3, func(d int) float64 { return float64(kernel[max(d, -d)]) })
		Convolve(v, w, kernel)
		agrees(t, "kernel", v, want)
		for r := range 12 {
			v := noise(w * h)
			want := slowly(v, w, r, func(int) float64 { return 1 / float64(2*r+1) })
			BoxBlur(v, w, []int{r})
			agrees(t, "box", v, want)
		}
	}
}

// Boxes one after another are each of them in turn.
func TestBoxesInTurn(t *testing.T) {
	a, b := noise(31*27), noise(31*27)
	BoxBlur(a, 31, []int{2, 3, 4})
	for _, r := range []int{2, 3, 4} {
		BoxBlur(b, 31, []int{r})
	}
	for i := range a {
		if math.Abs(float64(a[i]-b[i])) > 2e-6 { // near the edges the order of ways counts for a rounding
			t.Fatalf("at %d: %g against %g", i, a[i], b[i])
		}
	}
}

func TestLnAll(t *testing.T) {
	v := noise(10000)
	for i := range v {
		v[i] *= float32(math.Pow(10, float64(i%9-6)))
	}
	out := make([]float32, len(v))
	LnAll(v, 1e-5, out)
	for i, x := range v {
		want := math.Log(float64(x + 1e-5))
		if math.Abs(float64(out[i])-want) > 2e-7*math.Max(1, math.Abs(want)) {
			t.Fatalf("ln %g: %.8f, want %.8f", x, out[i], want)
		}
	}
}

func TestNthIsTheSorted(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for n := 1; n < 60; n++ {
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Floor(rnd.Float64() * 12) // with equals
		}
		sorted := slices.Sorted(slices.Values(v))
		for k := range n {
			if got := Nth(slices.Clone(v), k); got != sorted[k] {
				t.Fatalf("place %d of %d numbers: %g, want %g", k, n, got, sorted[k])
			}
		}
	}
}
