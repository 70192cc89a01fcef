package stereo

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"rowlight/calibrate"
	"rowlight/vision"
)

// leaves draws a picture of random blobs, large enough to be told apart.
func leaves(w, h int, seed uint64) *Grey {
	rng := rand.New(rand.NewPCG(seed, seed))
	g := &Grey{W: w, H: h, Pix: make([]uint8, w*h)}
	for i := range g.Pix {
		g.Pix[i] = 60
	}
	for range w * h / 40 {
		x, y, r, c := rng.IntN(w), rng.IntN(h), 2+rng.IntN(5), uint8(rng.IntN(256))
		for dy := -r; dy <= r; dy++ {
			for dx := -r; dx <= r; dx++ {
				if px, py := x+dx, y+dy; dx*dx+dy*dy <= r*r && px >= 0 && py >= 0 && px < w && py < h {
					g.Pix[py*w+px] = c
				}
			}
		}
	}
	return g
}

// moved shifts a picture's columns by dx to the left; what comes in is new.
func moved(g *Grey, dx int) *Grey {
	out := leaves(g.W, g.H, 99)
	for y := range g.H {
		for x := range g.W {
			if to := x - dx; to >= 0 && to < g.W {
				out.Pix[y*g.W+to] = g.Pix[y*g.W+x]
			}
		}
	}
	return out
}

func TestDisparitiesFindAShiftEitherWay(t *testing.T) {
	g := leaves(240, 120, 5)
	for _, c := range []struct {
		shift     int
		rightward bool
	}{{23, false}, {-23, true}} {
		d, err := Disparities(Evened(g), Evened(moved(g, c.shift)), Search{Count: 48, Rightward: c.rightward})
		if err != nil {
			t.Fatal(err)
		}
		right, wrong := 0, 0
		for i, v := range d.V {
			if x := i % d.W; x < 40 || x > 200 { // where the views share nothing
				continue
			}
			// Sub-pixel interpolation errs by less than half a pixel.
			if math.Abs(float64(v)-23) < 0.5 {
				right++
			} else if v == v {
				wrong++
			}
		}
		if n := 120 * 161; right < 9*n/10 || wrong > n/100 {
			t.Errorf("shift %d: %d of %d pixels right, %d wrong", c.shift, right, n, wrong)
		}
	}
}

func TestDisparitiesRefuseViewsOfTwoSizes(t *testing.T) {
	if _, err := Disparities(leaves(40, 30, 1), leaves(41, 30, 1), Search{Count: 16}); err == nil {
		t.Error("views of two sizes were compared")
	}
	if _, err := Disparities(&Grey{}, &Grey{}, Search{Count: 16}); err == nil {
		t.Error("empty views were compared")
	}
}

// OpenCV throws on a count that is no multiple of 16 or below 1; the shim must hand
// the exception over as an error.
func TestShimTurnsExceptionsIntoErrors(t *testing.T) {
	g := leaves(64, 48, 1)
	if _, err := disparities(g, g, Search{Count: -16}); err == nil || !strings.HasPrefix(err.Error(), "vision/stereo: find disparities: ") {
		t.Errorf("error %v", err)
	}
}

func TestPatches(t *testing.T) {
	nan := float32(math.NaN())
	d := &vision.Raster{W: 4, H: 3, V: []float32{
		5, 5.5, nan, 9,
		6, nan, nan, 9,
		nan, 20, 20, nan,
	}}
	want := []int32{3, 3, 0, 2, 3, 0, 0, 2, 0, 2, 2, 0}
	for i, n := range Patches(d, 1) {
		if n != want[i] {
			t.Fatalf("patches %v, want %v", Patches(d, 1), want)
		}
	}
}

// A photo against itself moved: features come back where they were moved to.
func TestMatchFindsMovedFeatures(t *testing.T) {
	g := leaves(320, 240, 3)
	a, b := photoOf(g), photoOf(moved(g, 17))
	fa, err := Find(a)
	if err != nil {
		t.Fatal(err)
	}
	fb, err := Find(b)
	if err != nil {
		t.Fatal(err)
	}
	row := func(p calibrate.Pixel) (Reach, bool) {
		return Reach{From: calibrate.Pixel{X: p.X - 60, Y: p.Y}, To: p, SlackPx: 3}, true
	}
	matches := Match(fa, fb, row)
	right := 0
	for _, m := range matches {
		if m.Second.Dist(calibrate.Pixel{X: m.First.X - 17, Y: m.First.Y}) < 1 {
			right++
		}
	}
	if len(matches) < 50 || right < len(matches)*9/10 {
		t.Errorf("%d matches, %d right", len(matches), right)
	}
	none := Match(fa, fb, func(calibrate.Pixel) (Reach, bool) { return Reach{}, false })
	if len(none) != 0 {
		t.Errorf("%d matches where nothing is in reach", len(none))
	}
}

func TestBarePhotosShareNothing(t *testing.T) {
	bare := photoOf(&Grey{W: 64, H: 48, Pix: make([]uint8, 64*48)})
	f, err := Find(bare)
	if err != nil || len(f.At) != 0 {
		t.Errorf("%d features, error %v", len(f.At), err)
	}
	if f, err = Find(&vision.Photo{}); err != nil || len(f.At) != 0 {
		t.Errorf("no pixels: %d features, error %v", len(f.At), err)
	}
}

func photoOf(g *Grey) *vision.Photo {
	p := &vision.Photo{W: g.W, H: g.H, FullW: g.W, FullH: g.H, Pix: make([]uint8, 3*len(g.Pix))}
	for i, v := range g.Pix {
		p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2] = v, v, v
	}
	return p
}

func TestTurnedKeepsAPlainPhoto(t *testing.T) {
	g := leaves(80, 60, 4)
	p := photoOf(g)
	half, seen := Turned(p, 40, 30, 2, func(q calibrate.Pixel) (calibrate.Pixel, bool) {
		return calibrate.Pixel{X: (q.X+0.5)*2 - 0.5, Y: (q.Y+0.5)*2 - 0.5}, true
	})
	for y := 1; y < 29; y++ {
		for x := 1; x < 39; x++ {
			sum := 0
			for k := range 4 {
				sum += int(g.Pix[(2*y+k/2)*80+2*x+k%2])
			}
			// Averages of whole blocks, rounded.
			if got := int(half.Pix[y*40+x]); !seen[y*40+x] || abs(4*got-sum) > 4 {
				t.Fatalf("(%d, %d): %d, want %.1f", x, y, got, float64(sum)/4)
			}
		}
	}
}

func abs(v int) int { return max(v, -v) }
