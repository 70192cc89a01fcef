package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The check values are the project's own, calculated from the formula of IEC
// 61966-2-1:1999 by another program (design notes, section 1.7), rounded
// to six places.
func TestSRGBToLinear(t *testing.T) {
	for code, want := range map[uint8]float64{0: 0, 1: 0.000304, 10: 0.003035, 11: 0.003347, 20: 0.006995, 50: 0.031896,
		64: 0.051269, 100: 0.127438, 118: 0.181164, 127: 0.212231, 128: 0.215861, 180: 0.456411, 188: 0.502886,
		200: 0.577580, 240: 0.871367, 255: 1} {
		if got := SRGBToLinear(code); math.Abs(got-want) > 0.6e-6 {
			t.Errorf("code %d: %.7f, want %.6f", code, got, want)
		}
	}
}

// The same source, rounded to two places.
func TestLinearToSRGB(t *testing.T) {
	for light, want := range map[float64]float64{0.0031308: 10.31, 0.01: 25.46, 0.02: 38.68, 0.05: 63.19, 0.1: 89.04,
		0.18: 117.65, 0.2: 123.55, 0.5: 187.52, -1: 0, 2: 255} {
		if got := LinearToSRGB(light); math.Abs(got-want) > 0.006 {
			t.Errorf("light %g: %.3f, want %.2f", light, got, want)
		}
	}
}

// The same source: colour (200, 180, 150) has luminance 0.47124.
func TestLuminance(t *testing.T) {
	l := LinearPhoto(&Photo{W: 1, H: 1, Pix: []uint8{200, 180, 150}}, 1)
	if got := float64(l.Lum(0)); math.Abs(got-0.47124) > 1e-5 {
		t.Errorf("luminance %.6f, want 0.47124", got)
	}
}

// Light is averaged, not codes: half black, half white is half the light, code 188.
func TestLinearPhotoAveragesLight(t *testing.T) {
	p := &Photo{W: 5, H: 2, Pix: make([]uint8, 30)}
	for y := range 2 {
		for x := 0; x < 5; x += 2 {
			for k := range 3 {
				p.Pix[3*(5*y+x)+k] = 255
			}
		}
	}
	l := LinearPhoto(p, 2)
	if l.W != 2 || l.H != 1 {
		t.Fatalf("%d x %d", l.W, l.H)
	}
	for i := range 2 {
		if math.Abs(float64(l.Lum(i))-0.5) > 1e-6 {
			t.Errorf("pixel %d: %.6f, want 0.5", i, l.Lum(i))
		}
	}
}

// The percentile is, by definition, the brightest thousandth (rounded down) with more than
// a twentieth of the pixels of the rows looked at, at or over it; light over 1 counts as 1.
func TestPercentile95(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 1))
	for _, size := range []int{0, 1, 3, 19, 20, 21, 511, 512, 513, 517, 5000} {
		for _, most := range []float32{0.01, 0.3, 1, 1.2} {
			h := 1 + random.IntN(2*percentileRows)
			n := size * h
			l := &Linear{W: size, H: h, R: make([]float32, n), G: make([]float32, n), B: make([]float32, n)}
			var thousandths []int
			for i := range n {
				l.R[i], l.G[i], l.B[i] = most*random.Float32(), most*random.Float32(), most*random.Float32()
				if i%3 == 0 { // grey at a bin's edge, where a rounding would tell
					grey := most * float32(random.IntN(1001)) / 1000
					l.R[i], l.G[i], l.B[i] = grey, grey, grey
				}
				if i/size%percentileRows == 0 {
					thousandths = append(thousandths, int(min(1, float64(l.Lum(i)))*1000))
				}
			}
			slices.Sort(thousandths)
			want := 0.0
			if size > 0 {
				seen := len(thousandths)
				want = float64(thousandths[seen-1-seen/20]) / 1000
			}
			if got := l.Percentile95(); got != want {
				t.Errorf("%d pixels up to %g: %g, want %g", size, most, got, want)
			}
		}
	}
}

func BenchmarkPercentile95(b *testing.B) {
	const size = 1 << 20
	l := &Linear{W: size, H: 1, R: make([]float32, size), G: make([]float32, size), B: make([]float32, size)}
	for i := range size {
		l.R[i] = float32(i/8%1000) / 1000
		l.G[i], l.B[i] = l.R[i], l.R[i]
	}
	for b.Loop() {
		l.Percentile95()
	}
}
