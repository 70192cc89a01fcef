package vision

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"
)

func noisePhoto(w, h int) *Photo {
	rnd := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	p := &Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)}
	for i := range p.Pix {
		p.Pix[i] = uint8(rnd.IntN(256))
	}
	return p
}

// The light of a block is the mean of its pixels' light, for the factors that have
// loops of their own and for others, whatever is over at the edges.
func TestLinearPhotoIsTheMeanOfLight(t *testing.T) {
	p := noisePhoto(37, 29)
	for factor := 1; factor <= 8; factor++ {
		l := LinearPhoto(p, factor)
		if l.W != p.W/factor || l.H != p.H/factor {
			t.Fatalf("factor %d: %d x %d", factor, l.W, l.H)
		}
		for i := range l.R {
			var sum float64
			for k := range factor * factor {
				x, y := i%l.W*factor+k%factor, i/l.W*factor+k/factor
				sum += SRGBToLinear(p.Pix[3*(y*p.W+x)+1])
			}
			if want := sum / float64(factor*factor); math.Abs(float64(l.G[i])-want) > 1e-6 { // floats of 24 bits
				t.Fatalf("factor %d pixel %d: %.7f, want %.7f", factor, i, l.G[i], want)
			}
		}
	}
}

// A reduced part holds the rounded means of the codes in it.
func TestReducedCodesAreMeans(t *testing.T) {
	p := noisePhoto(41, 31)
	part := image.Rect(3, 2, 40, 30)
	for factor := 1; factor <= 6; factor++ {
		m := ReducedCodes(p.W, p.Pix, part, factor)
		for y := range m.Rect.Dy() {
			for x := range m.Rect.Dx() {
				sum := 0
				for k := range factor * factor {
					sum += int(p.Pix[3*((part.Min.Y+y*factor+k/factor)*p.W+part.Min.X+x*factor+k%factor)])
				}
				n := factor * factor
				if got, want := int(m.NRGBAAt(x, y).R), (sum+n/2)/n; got != want {
					t.Fatalf("factor %d at %d, %d: %d, want %d", factor, x, y, got, want)
				}
			}
		}
	}
}

// What is written can be read by another decoder, and shows the same picture: a smooth
// one comes back within the rounding of the colours' quarter size.
func TestEncodeJPEGRoundTrip(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 67, 43))
	for y := range 43 {
		for x := range 67 {
			copy(m.Pix[m.PixOffset(x, y):], []uint8{uint8(3 * x), uint8(5 * y), 90, 255})
		}
	}
	var b bytes.Buffer
	if err := EncodeJPEG(&b, m, 95); err != nil {
		t.Fatal(err)
	}
	back, err := jpeg.Decode(&b)
	if err != nil || back.Bounds() != m.Bounds() {
		t.Fatalf("%v, %v", err, back.Bounds())
	}
	for y := range 43 {
		for x := range 67 {
			r, g, _, _ := back.At(x, y).RGBA()
			if math.Abs(float64(r>>8)-3*float64(x)) > 12 || math.Abs(float64(g>>8)-5*float64(y)) > 12 {
				t.Fatalf("at %d, %d: %d, %d", x, y, r>>8, g>>8)
			}
		}
	}
	if err := EncodeJPEG(&b, image.NewNRGBA(image.Rect(0, 0, 0, 0)), 95); err == nil {
		t.Error("an empty picture was written")
	}
}
