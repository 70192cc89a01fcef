package vision

import (
	"image/color"
	"math"
	"testing"
)

// Ink of amount a leaves 1 - a of what lies under it, to half a code.
func TestLayInk(t *testing.T) {
	amounts := []float32{0, -0.5, 0.25, 1, 3, 0.6, 0, 0}
	for _, n := range []int{0, 1, 7, 64, 65, 300} {
		for _, ink := range []color.NRGBA{{255, 0, 90, 255}, {10, 200, 0, 100}} {
			pix, under, column := make([]uint8, 4*n), make([]uint8, 4*n), make([]int32, n)
			for i := range pix {
				pix[i] = uint8(31 * i)
			}
			copy(under, pix)
			for x := range column {
				column[x] = int32(x / 40 % len(amounts)) // whole stretches without ink, too
			}
			LayInk(pix, ink, amounts, column)
			for i, got := range pix {
				a := math.Max(0, math.Min(1, float64(amounts[column[i/4]]))) * float64(ink.A) / 255
				want := float64(under[i])
				if k := i % 4; k < 3 {
					want = want*(1-a) + a*float64([3]uint8{ink.R, ink.G, ink.B}[k])
				}
				if math.Abs(float64(got)-want) > 0.501 {
					t.Fatalf("%d pixels, byte %d: %d, want %.2f", n, i, got, want)
				}
			}
		}
	}
}
