package vision

import (
	"math/rand/v2"
	"testing"

	"rowlight/calibrate"
)

// What Across says of a row is what Holds says of its places, in shapes of any turn, with
// level and upright sides, and in those that hold nothing.
func TestAcrossIsWhereTheOutlineHolds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	shapes := [][]calibrate.Pixel{
		{{X: 2, Y: 3}, {X: 20, Y: 3}, {X: 20, Y: 15}, {X: 2, Y: 15}},
		{{X: 2, Y: 3}, {X: 2, Y: 3}, {X: 20, Y: 15}, {X: 2, Y: 15}}, // a side of no length
	}
	for range 60 {
		a, b := rnd.Float64()*10, rnd.Float64()*10
		shapes = append(shapes, []calibrate.Pixel{{X: 10 + a, Y: 2}, {X: 28, Y: 10 + b}, {X: 20 - a, Y: 28}, {X: 1, Y: 20 - b}})
	}
	for _, corners := range shapes {
		o := NewOutline(corners)
		for _, margin := range []float64{0, 1.5} {
			for y := -2.0; y < 34; y += 0.37 {
				from, to := o.Across(y, margin)
				for x := -4.0; x < 36; x += 0.173 {
					if in := x >= from && x <= to; in != o.Holds(calibrate.Pixel{X: x, Y: y}, margin) {
						t.Fatalf("%v, margin %g: place %g, %g is in the row's part %g to %g: %v", corners, margin, x, y, from, to, in)
					}
				}
			}
		}
	}
}
