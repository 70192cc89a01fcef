package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A mean over a box against the definition, also where the raster is smaller than the box.
func TestBoxMean(t *testing.T) {
	for _, size := range [][3]int{{9, 7, 2}, {40, 3, 2}, {1, 1, 2}, {2, 30, 1}, {5, 5, 4}} {
		w, h, half := size[0], size[1], size[2]
		v, got := noise(w*h), noise(w*h)
		BoxMean(got, w, half)
		for i := range v {
			var sum, n float64
			for k := range v {
				if abs(k%w-i%w) <= half && abs(k/w-i/w) <= half {
					sum, n = sum+float64(v[k]), n+1
				}
			}
			if d := math.Abs(float64(got[i]) - sum/n); d > 2e-6 {
				t.Fatalf("%v, pixel %d: off by %g", size, i, d)
			}
		}
	}
}

func abs(n int) int { return max(n, -n) }

func TestSumCells(t *testing.T) {
	const w, h, cell = 45, 37, 16
	rnd := rand.New(rand.NewPCG(1, 1))
	marked, v := make([]bool, w*h), noise(w*h)
	for i := range marked {
		marked[i] = rnd.IntN(3) == 0
	}
	n, sums := SumCells(marked, [3][]float32{v, v, v}, w, cell)
	wantN, want := make([]float64, len(n)), make([]float64, len(n))
	for i, in := range marked {
		if c := i/w/cell*((w+cell-1)/cell) + i%w/cell; in {
			wantN[c]++
			want[c] += float64(v[i])
		}
	}
	for c := range n {
		if n[c] != wantN[c] || math.Abs(sums[1][c]-want[c]) > 1e-5*want[c] {
			t.Errorf("cell %d: %g and %g, want %g and %g", c, n[c], sums[1][c], wantN[c], want[c])
		}
	}
}

// A kernel wider than the grid too, against the definition.
func TestBlurGrid(t *testing.T) {
	const w, h = 7, 4
	rnd := rand.New(rand.NewPCG(2, 2))
	v := make([]float64, w*h)
	for i := range v {
		v[i] = rnd.Float64()
	}
	along := []float64{1, 2, 3, 4, 5, 6, 5, 4, 3, 2, 1, 0, 0}
	for len(along) < 21 { // symmetric about its middle
		along = append([]float64{0.5}, append(along, 0.5)...)
	}
	for i := range along[:len(along)/2] {
		along[len(along)-1-i] = along[i]
	}
	down := []float64{1, 3, 1}
	got := BlurGrid(v, w, along, down)
	var ta, td float64
	for _, k := range along {
		ta += k
	}
	for _, k := range down {
		td += k
	}
	for i := range v {
		var want float64
		for k := range v {
			dx, dy := k%w-i%w+len(along)/2, k/w-i/w+1
			if dx >= 0 && dx < len(along) && dy >= 0 && dy < 3 {
				want += v[k] * along[dx] / ta * down[dy] / td
			}
		}
		if math.Abs(got[i]-want) > 1e-12 {
			t.Errorf("cell %d: %g, want %g", i, got[i], want)
		}
	}
}

// Between the middles of two cells the way is straight; before the first and behind the
// last it is level.
func TestSpreadCells(t *testing.T) {
	cells := [][3]float32{{0, 10, -1}, {1, 20, -1}, {4, 0, -1}}
	for _, n := range []int{40, 33, 48} {
		out := [3][]float32{make([]float32, n), make([]float32, n), make([]float32, n)}
		SpreadCells(cells, 16, out)
		for x := range n {
			g := math.Max(0, math.Min(2, (float64(x)+0.5)/16-0.5))
			left := min(int(g), 1)
			for k := range out {
				p, q := float64(cells[left][k]), float64(cells[left+1][k])
				if want := p + (g-float64(left))*(q-p); math.Abs(float64(out[k][x])-want) > 1e-4 {
					t.Fatalf("%d pixels, pixel %d of %d: %g, want %g", n, x, k, out[k][x], want)
				}
			}
		}
	}
}

func TestMatchSky(t *testing.T) {
	m := SkyLimits{MinBlue: -0.7, LowBlue: -0.3, HighBlue: 0.5, MostGreen: 0.5, MostRed: 0.8, NearGreen: 0.3, NearRed: 0.45}
	for _, c := range []struct {
		name            string
		may, seed       bool
		r, g, b         float32
		wantSky, wantIn bool
	}{
		{"the sky itself", true, false, 0, 0, 0, true, true},
		{"not where sky may be", false, true, 0, 0, 0, false, false},
		{"half a leaf", true, false, -0.5, -0.5, -0.5, true, false},
		{"dark", true, false, -1, -1, -1, false, false},
		{"green", true, false, 0, 0.6, 0, false, false},
		{"a little green", true, false, 0, 0.4, 0, true, false},
		{"red", true, true, 0.9, 0, 0, false, true},
	} {
		sky, near := []bool{false}, []bool{false}
		light, behind := [3][]float32{{c.r - 2}, {c.g - 1}, {c.b - 3}}, [3][]float32{{-2}, {-1}, {-3}}
		MatchSky([]bool{c.may}, []bool{c.seed}, light, behind, m, sky, near)
		if sky[0] != c.wantSky || near[0] != c.wantIn {
			t.Errorf("%s: sky %v, near %v", c.name, sky[0], near[0])
		}
	}
}
