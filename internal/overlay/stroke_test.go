package overlay

import (
	"math"
	"testing"

	"rowlight/calibrate"
)

// A row's reach holds every pixel that the line inks, in all directions.
func TestReachHoldsTheLine(t *testing.T) {
	c := New(60, 60, make([]uint8, 3*60*60))
	const pad = 2.5
	for k := range 32 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 32)
		x0, y0, dx, dy := 30-20*cos, 30-20*sin, 40*cos, 40*sin
		for y := range 60 {
			from, to := c.reached(x0, dx, y0-float64(y), dy, pad)
			for x := range 60 {
				s := math.Max(0, math.Min(1, ((float64(x)-x0)*dx+(float64(y)-y0)*dy)/1600))
				near := math.Hypot(float64(x)-x0-s*dx, float64(y)-y0-s*dy) < pad
				if near && (x < from || x > to) {
					t.Fatalf("direction %d: pixel %d, %d is left out of %d to %d", k, x, y, from, to)
				}
			}
		}
	}
}

// TintBy inks what Tint does, told by cells.
func TestTintByIsTint(t *testing.T) {
	const w, h, factor = 100, 80, 4
	rgb := make([]uint8, 3*w*h)
	for i := range rgb {
		rgb[i] = uint8(i * 7)
	}
	a := Amounts{W: w / factor, H: h / factor, Factor: factor, V: make([]float32, w/factor*(h/factor))}
	for i := range a.V {
		a.V[i] = float32(i%5)/3 - 0.2
	}
	plain, by := New(w, h, rgb), New(w, h, rgb)
	plain.Tint(Orange, func(x, y int) float64 { return float64(a.V[y/factor*a.W+x/factor]) })
	by.TintBy(Orange, a)
	for i := range plain.Img.Pix {
		if d := int(plain.Img.Pix[i]) - int(by.Img.Pix[i]); d < -1 || d > 1 { // halves are rounded either way
			t.Fatalf("byte %d: %d against %d", i, plain.Img.Pix[i], by.Img.Pix[i])
		}
	}
	by.Line(calibrate.Pixel{X: math.NaN()}, calibrate.Pixel{X: 10, Y: 10}, Red, 2) // draws nothing, breaks nothing
}
