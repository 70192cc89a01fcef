package vision

// #include "ground.h"
import "C"

import (
	"unsafe"

	"rowlight/calibrate"
)

// Ground is what the pixels of a picture show of the ground about a place, row by row.
type Ground struct {
	Within *Mask     // no farther than reach
	AreaM2 []float32 // of ground in each pixel no farther than near, else 0
	// Square is which square of a grid that has a corner at the place each of those lies in,
	// by rows of Across squares, an even number.
	Square []int32
	Across int
}

// NewGround returns the ground of a picture that shows none, on a grid.
func NewGround(w, h, across int) *Ground {
	return &Ground{Within: NewMask(w, h), AreaM2: make([]float32, w*h), Square: make([]int32, w*h), Across: across}
}

// Lay fills the ground from a chart: metres about its origin, which the grid's squares of
// sideM must reach as far as nearM.
func (g *Ground) Lay(c calibrate.Chart, reachM, nearM, sideM float64) {
	w, h := g.Within.W, g.Within.H
	if w == 0 {
		return
	}
	for y := range h {
		at := func(v calibrate.Vec3) (first, step C.double) { return C.double(v[1]*float64(y) + v[2]), C.double(v[0]) }
		var row C.rl_ground_row
		row.u, row.du = at(c.U)
		row.v, row.dv = at(c.V)
		row.w, row.dw = at(c.W)
		row.d, row.area = C.double(c.D), C.double(c.AreaM2)
		from := y * w
		C.rl_ground(&row, C.int(w), C.double(reachM*reachM), C.double(nearM*nearM), C.double(1/sideM), C.int(g.Across),
			boolsOf(g.Within.In[from:from+w]), floatsOf(g.AreaM2[from:from+w]), (*C.int)(unsafe.Pointer(&g.Square[from])))
	}
}
