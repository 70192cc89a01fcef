package register

import (
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/vision"
)

// speckled draws dark discs on grey at places that a seed names, moved by (dx, dy).
func speckled(seed uint64, dx, dy float64) *vision.Photo {
	const w, h = 400, 300
	p := &vision.Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)}
	for i := range p.Pix {
		p.Pix[i] = 160
	}
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 150 {
		x, y, r, v := rng.Float64()*w+dx, rng.Float64()*h+dy, 3+7*rng.Float64(), uint8(rng.IntN(255))
		for j := max(0, int(y-r)); j < min(h, int(y+r)); j++ {
			for i := max(0, int(x-r)); i < min(w, int(x+r)); i++ {
				if math.Hypot(float64(i)-x, float64(j)-y) < r {
					for c := range 3 {
						p.Pix[3*(j*w+i)+c] = v
					}
				}
			}
		}
	}
	return p
}

func mustSpots(t *testing.T, p *vision.Photo) []Spot {
	s, err := Spots(p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A scene moved by (12, -7) px is found again moved by as much; another scene's
// spots do not lie so.
func TestSpotsAreFoundAgain(t *testing.T) {
	const dx, dy = 12, -7
	a := mustSpots(t, speckled(1, 0, 0))
	moved := func(b []Spot) func(i, j int) bool {
		return func(i, j int) bool {
			d := b[j].At.Sub(a[i].At)
			return math.Hypot(d.X-dx, d.Y-dy) < 3
		}
	}
	same, other := mustSpots(t, speckled(1, dx, dy)), mustSpots(t, speckled(2, dx, dy))
	n, m := len(Alike(a, same, moved(same))), len(Alike(a, other, moved(other)))
	if len(a) < 50 || n < len(a)/3 {
		t.Errorf("%d of %d spots found again", n, len(a))
	}
	if m > n/10 {
		t.Errorf("%d spots found in another scene, %d in the same", m, n)
	}
}

func TestABlankPhotoHasNoSpots(t *testing.T) {
	p := &vision.Photo{W: 64, H: 48, FullW: 64, FullH: 48, Pix: make([]uint8, 3*64*48)}
	if s := mustSpots(t, p); len(s) != 0 {
		t.Errorf("%d spots in black", len(s))
	}
	if got := Alike(nil, nil, nil); got != nil {
		t.Errorf("pairs of nothing: %v", got)
	}
}
