package skyward

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/vision"
)

// Rosin 2001: the worked histogram of the trade notes, peak at 2, last filled bin
// 11; distances 3.8930, 4.2552, 3.9836 at bins 4, 5, 6.
func TestCornerWorkedValue(t *testing.T) {
	var h histogram
	copy(h[:], []float64{0, 5, 100, 60, 35, 20, 12, 8, 5, 3, 2, 1, 0})
	if got := h.corner(2, 11); got != 5 {
		t.Errorf("corner at bin %d, want 5", got)
	}
	var mirror histogram
	for i := range 13 {
		mirror[12-i] = h[i]
	}
	if got := mirror.corner(10, 1); got != 7 {
		t.Errorf("corner of the mirrored histogram at bin %d, want 7", got)
	}
}

// picture is an artificial view of known cover, as Chianucci 2016 (Silva Fennica
// 50:1518) tested cover photographs: dark discs on a bright ground, edges blurred
// over a pixel, with noise. It returns the exact share of ground within the field,
// by counting at 4 x 4 points a pixel.
func picture(t *testing.T, size, discs int, radius float64, sky, leaf [3]float64, noise float64) (*vision.Photo, float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(7, uint64(discs)))
	type disc struct{ x, y, r float64 }
	all := make([]disc, discs)
	for i := range all {
		all[i] = disc{r.Float64() * float64(size), r.Float64() * float64(size), radius * (0.6 + 0.8*r.Float64())}
	}
	const sub = 4
	covered := make([]bool, sub*size*sub*size)
	for _, d := range all {
		for y := max(int(sub*(d.y-d.r)), 0); y < min(int(sub*(d.y+d.r))+1, sub*size); y++ {
			for x := max(int(sub*(d.x-d.r)), 0); x < min(int(sub*(d.x+d.r))+1, sub*size); x++ {
				if math.Hypot((float64(x)+.5)/sub-d.x, (float64(y)+.5)/sub-d.y) < d.r {
					covered[y*sub*size+x] = true
				}
			}
		}
	}
	p := &vision.Photo{W: size, H: size, FullW: size, FullH: size, Pix: make([]uint8, 3*size*size)}
	mid := float64(size-1) / 2
	var open, field float64
	for y := range size {
		for x := range size {
			n := 0
			for k := range sub * sub {
				if !covered[(y*sub+k/sub)*sub*size+x*sub+k%sub] {
					n++
				}
			}
			share := float64(n) / (sub * sub)
			if math.Hypot(float64(x)-mid, float64(y)-mid) <= mid {
				open, field = open+share, field+1
			}
			for c := range 3 {
				light := share*sky[c] + (1-share)*leaf[c]
				code := vision.LinearToSRGB(light) + noise*r.NormFloat64()
				p.Pix[3*(y*size+x)+c] = uint8(max(0, min(255, math.Round(code))))
			}
		}
	}
	return p, open / field
}

func TestKnownCover(t *testing.T) {
	blue, white := [3]float64{.25, .42, .75}, [3]float64{.85, .88, .9}
	leaf := [3]float64{.02, .035, .01}
	for _, c := range []struct {
		name  string
		discs int
		sky   [3]float64
	}{
		{"open, blue sky", 60, blue}, {"half, blue sky", 250, blue}, {"dense, blue sky", 800, blue},
		{"open, overcast", 60, white}, {"dense, overcast", 800, white}, {"nearly closed, overcast", 1400, white},
	} {
		p, want := picture(t, 300, c.discs, 9, c.sky, leaf, 3)
		v, err := Look(p, 1000)
		if err != nil {
			t.Errorf("%s (%.1f %% sky): %v", c.name, 100*want, err)
			continue
		}
		// A disc's edge is mixed over one pixel; where in it the cut falls moves
		// the border by half a pixel at most.
		if tol := 0.5*v.EdgeShare + 0.001; math.Abs(v.SkyMid-want) > tol {
			t.Errorf("%s: %.2f %% sky, truth %.2f, half a pixel of border is %.2f", c.name, 100*v.SkyMid, 100*want, 100*tol)
		}
		if v.SkyLow > v.SkyMid || v.SkyMid > v.SkyHigh {
			t.Errorf("%s: cuts give %.3f, %.3f, %.3f: not in order", c.name, v.SkyLow, v.SkyMid, v.SkyHigh)
		}
		sum := 0
		for _, px := range v.GapPx {
			sum += px
		}
		if math.Abs(float64(sum)/float64(v.FieldPx)-v.SkyMid) > 1e-9 {
			t.Errorf("%s: gaps hold %d pixels, the sky %.0f", c.name, sum, v.SkyMid*float64(v.FieldPx))
		}
	}
}

func TestOneLight(t *testing.T) {
	sky, leaf := [3]float64{.25, .42, .75}, [3]float64{.02, .035, .01}
	p, _ := picture(t, 100, 0, 9, sky, leaf, 3)
	if _, err := Look(p, 100); !errors.Is(err, ErrOneLight) {
		t.Errorf("all sky: %v, want ErrOneLight", err)
	}
	p, open := picture(t, 100, 2000, 9, sky, leaf, 3)
	v, err := Look(p, 100)
	if err != nil || open > 0 || v.SkyMid > 0 || len(v.GapPx) > 0 {
		t.Errorf("all canopy: %+v, %v, want a view without sky", v, err)
	}
}

func TestTinyPhoto(t *testing.T) {
	for _, size := range []int{1, 2, 3} {
		p := &vision.Photo{W: size, H: 1, FullW: size, FullH: 1, Pix: make([]uint8, 3*size)}
		if _, err := Look(p, 100); err == nil {
			t.Errorf("a photo of %d pixels was judged", size)
		}
	}
}
