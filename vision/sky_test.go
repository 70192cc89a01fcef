package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// open is a seed's limits by which chance alone decides.
var open = OpenSkyLimits{Half: 2, Variance: 0.9, Blue: 0.8}

// A seed against the definition, also where the raster is smaller than the square.
func TestSkySeeds(t *testing.T) {
	for _, size := range [][2]int{{9, 7}, {40, 3}, {1, 1}, {2, 30}, {5, 5}, {64, 20}} {
		w, h := size[0], size[1]
		l := &Linear{w, h, noise(w * h), noise(w * h), noise(w * h)}
		zone := make([]Zone, w*h)
		zone[w*h-1] = ZoneMiddle
		s := NewSkyLight(l, h, zone, 1e-4, open)
		for i := range zone {
			var sum, sum2, n float64
			for k := range zone {
				if abs(k%w-i%w) <= open.Half && abs(k/w-i/w) <= open.Half {
					ln := math.Log(float64(l.B[k]) + 1e-4)
					sum, sum2, n = sum+ln, sum2+ln*ln, n+1
				}
			}
			v := sum2/n - sum*sum/n/n
			want := zone[i] == ZoneAbove && v < float64(open.Variance) && l.B[i] > open.Blue*l.G[i] && l.B[i] > open.Blue*l.R[i]
			if s.Seed[i] != want && math.Abs(v-float64(open.Variance)) > 1e-4 {
				t.Fatalf("%v, pixel %d: %v, variance %g", size, i, s.Seed[i], v)
			}
		}
	}
}

func abs(n int) int { return max(n, -n) }

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

// Every pixel against the sky behind it, straight between the middles of cells and level
// beyond the outermost, and the sums of what is near it: by the definition. In noise each
// pixel has to be asked; of even patches whole cells are sky, near it, or neither.
func TestMatchSky(t *testing.T) {
	for _, size := range [][2]int{{45, 37}, {16, 16}, {7, 3}, {33, 50}, {64, 20}, {130, 90}} {
		w, h := size[0], size[1]
		zone := make([]Zone, w*h)
		for i := range zone {
			zone[i] = Zone(i % 5 / 4) // each fifth may not be sky
		}
		matchesSky(t, &Linear{w, h, noise(w * h), noise(w * h), noise(w * h)}, zone, 0.2)
		even := &Linear{w, h, noise(w * h), noise(w * h), noise(w * h)}
		for i := range zone {
			zone[i] = ZoneAbove
			k := (i%w/40 + i/w/30) % 4 // near the sky, sky but not near, green, dark
			for c, v := range [3]*float32{&even.R[i], &even.G[i], &even.B[i]} {
				level := [4][3]float32{{0.5, 0.6, 0.7}, {0.33, 0.4, 0.45}, {0.5, 1.5, 0.7}, {0.01, 0.02, 0.005}}[k][c]
				*v = level * (1 + 0.02*(*v-0.5))
			}
		}
		matchesSky(t, even, zone, 1e-4)
	}
}

func matchesSky(t *testing.T, l *Linear, zone []Zone, dark float32) {
	t.Helper()
	m := SkyLimits{MinBlue: -0.7, LowBlue: -0.3, HighBlue: 0.5, MostGreen: 0.5, MostRed: 0.8, NearGreen: 0.3, NearRed: 0.45}
	w, h := l.W, l.H
	s := NewSkyLight(l, h, zone, dark, open)
	gw, gh := (w+SkyCellPx-1)/SkyCellPx, (h+SkyCellPx-1)/SkyCellPx
	behind := make([][3]float32, gw*gh)
	for i := range behind {
		behind[i] = [3]float32{-0.5 * float32(i%3), -0.3 - 0.1*float32(i%2), -0.2 * float32(i%4)}
		if dark < 0.01 { // an even sky
			behind[i] = [3]float32{-0.65, -0.5, -0.35 - 0.01*float32(i%2)}
		}
	}
	sky := make([]SideClass, w*h)
	seeds := s.Seeds()
	got := s.Near(behind, m)
	s.Mark(behind, m, sky)
	want, wantSeeds := newCellSums(gw*gh), newCellSums(gw*gh)
	for i := range zone {
		c := i/w/SkyCellPx*gw + i%w/SkyCellPx
		ln := [3]float64{math.Log(float64(l.R[i] + dark)), math.Log(float64(l.G[i] + dark)), math.Log(float64(l.B[i] + dark))}
		if s.Seed[i] {
			wantSeeds.add(c, ln)
		}
		at := skyBehind(behind, gw, gh, i%w, i/w)
		b := ln[2] - at[2]
		green, red := ln[1]-at[1]-b, ln[0]-at[0]-b
		near := b > float64(m.LowBlue) && b < float64(m.HighBlue) && math.Abs(green) < float64(m.NearGreen) && math.Abs(red) < float64(m.NearRed)
		if zone[i] == ZoneAbove && (near || s.Seed[i]) {
			want.add(c, ln)
		}
		is := zone[i] == ZoneAbove && b > float64(m.MinBlue) && green < float64(m.MostGreen) && red < float64(m.MostRed)
		if (sky[i] == SkyMark) != is || !is && sky[i] != 0 {
			t.Fatalf("%d x %d, pixel %d: marked %d, sky %v", w, h, i, sky[i], is)
		}
	}
	got.check(t, "near", want)
	seeds.check(t, "seeds", wantSeeds)
}

func newCellSums(n int) *CellSums {
	return &CellSums{make([]float64, n), [3][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}}
}

func (c *CellSums) add(cell int, ln [3]float64) {
	c.N[cell]++
	for k, v := range ln {
		c.C[k][cell] += v
	}
}

func (c *CellSums) check(t *testing.T, of string, want *CellSums) {
	t.Helper()
	for i := range want.N {
		if c.N[i] != want.N[i] || math.Abs(c.C[0][i]-want.C[0][i]) > 1e-4 || math.Abs(c.C[2][i]-want.C[2][i]) > 1e-4 {
			t.Errorf("%s, cell %d: %g, %g and %g; want %g, %g and %g", of, i, c.N[i], c.C[0][i], c.C[2][i], want.N[i], want.C[0][i], want.C[2][i])
		}
	}
}

func skyBehind(cells [][3]float32, gw, gh, x, y int) (out [3]float64) {
	gx := math.Max(0, math.Min(float64(gw-1), (float64(x)+0.5)/SkyCellPx-0.5))
	gy := math.Max(0, math.Min(float64(gh-1), (float64(y)+0.5)/SkyCellPx-0.5))
	x0, y0 := min(int(gx), max(gw-2, 0)), min(int(gy), max(gh-2, 0))
	x1, y1 := min(x0+1, gw-1), min(y0+1, gh-1)
	u, v := gx-float64(x0), gy-float64(y0)
	for k := range out {
		at := func(i, j int) float64 { return float64(cells[j*gw+i][k]) }
		out[k] = (1-v)*((1-u)*at(x0, y0)+u*at(x1, y0)) + v*((1-u)*at(x0, y1)+u*at(x1, y1))
	}
	return out
}

// A cell without its seeds adds nothing up, and all others what they did.
func TestUnseed(t *testing.T) {
	const w, h = 50, 40 // 4 x 3 cells, those at the edges cut off
	l := &Linear{W: w, H: h, R: make([]float32, w*h), G: make([]float32, w*h), B: make([]float32, w*h)}
	for i := range l.R {
		l.R[i], l.G[i], l.B[i] = 0.2, 0.3, 0.5
	}
	s := NewSkyLight(l, h, make([]Zone, w*h), 1e-4, OpenSkyLimits{Half: 2, Variance: 0.0036, Blue: 0.85})
	before := s.Seeds()
	const cell = 4 + 3 // the second row's last: 2 columns of it
	s.Unseed(cell)
	for i, n := range s.Seeds().N {
		want := before.N[i]
		if i == cell {
			want = 0
		}
		if n != want || before.N[i] == 0 {
			t.Errorf("cell %d: %g seeds, want %g; %g before", i, n, want, before.N[i])
		}
	}
	for i, seed := range s.Seed {
		x, y := i%w, i/w
		if in := x/SkyCellPx+4*(y/SkyCellPx) == cell; in == seed {
			t.Fatalf("pixel %d, %d: seed %v", x, y, seed)
		}
	}
}
