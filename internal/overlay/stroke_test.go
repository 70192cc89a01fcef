package overlay

import (
	"image/color"
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

// A line is, by definition, what lies within half its width of the segment, a pixel inked
// by how far its middle lies inside: black for the rim, then the ink.
func TestLineByItsDefinition(t *testing.T) {
	const size = 48
	rgb := make([]uint8, 3*size*size)
	for i := range rgb {
		rgb[i] = uint8(i * 37)
	}
	under := New(size, size, rgb).Img.Pix
	for k, to := range []calibrate.Pixel{{X: 40, Y: 20.3}, {X: 20, Y: 41}, {X: 3.5, Y: 3.25}, {X: 20, Y: 20.3}, {X: 90, Y: 30}, {X: -50, Y: -2}, {X: 33, Y: 20.3}, {X: 20.1, Y: -9}} {
		from := calibrate.Pixel{X: 20, Y: 20.3}
		dx, dy := to.X-from.X, to.Y-from.Y
		for _, widthPx := range []float64{0.5, 1, 1.5, 3, 6} {
			for _, ink := range []color.NRGBA{Orange, {9, 200, 90, 120}} {
				c := New(size, size, rgb)
				c.Line(from, to, ink, widthPx)
				for i := range size * size {
					x, y := float64(i%size)-from.X, float64(i/size)-from.Y
					s := 0.0
					if k != 3 { // a point has no direction
						s = math.Max(0, math.Min(1, (x*dx+y*dy)/(dx*dx+dy*dy)))
					}
					d := math.Hypot(x-s*dx, y-s*dy)
					dark := math.Max(0, math.Min(1, widthPx/2+1.5-d)) * 150 / 255
					full := math.Max(0, math.Min(1, widthPx/2+0.5-d)) * float64(ink.A) / 255
					for j, v := range [3]uint8{ink.R, ink.G, ink.B} {
						want := float64(under[4*i+j])*(1-dark)*(1-full) + float64(v)*full
						// The rim is rounded before the ink: a code at most in all.
						if got := float64(c.Img.Pix[4*i+j]); math.Abs(got-want) > 1.001 {
							t.Fatalf("line %d, %.1f px wide, pixel %d, %d: %.0f, want %.2f", k, widthPx, i%size, i/size, got, want)
						}
					}
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
