package vision

// #include "planes.h"
import "C"

import "unsafe"

// Convolve blurs a raster of w columns in place by a symmetric kernel, along its rows and
// down its columns; kernel begins at its middle. Outside the raster is nothing.
func Convolve(v []float32, w int, kernel []float32) {
	if len(v) == 0 {
		return
	}
	scratch := make([]float32, len(v))
	C.rl_convolve(floatsOf(v), C.int(w), C.int(len(v)/w), floatsOf(kernel), C.int(len(kernel)-1), floatsOf(scratch))
}

// BoxBlur averages a raster of w columns in place over squares of 2 r + 1 pixels for
// each of the radii, one after another. Outside the raster is nothing.
func BoxBlur(v []float32, w int, radii []int) {
	if len(v) == 0 || len(radii) == 0 {
		return
	}
	h := len(v) / w
	scratch, sums, r := make([]float32, len(v)), make([]float64, max(w, h)), make([]C.int, len(radii))
	for i := range radii {
		r[i] = C.int(radii[i])
	}
	C.rl_boxes(floatsOf(v), C.int(w), C.int(h), &r[0], C.int(len(r)), floatsOf(scratch), (*C.double)(unsafe.Pointer(&sums[0])))
}

// LnAll writes ln(v + above) to out, right to 2e-7 absolutely or of the result; v +
// above is positive and not denormal. out may be v.
func LnAll(v []float32, above float32, out []float32) {
	if len(v) > 0 {
		C.rl_ln(floatsOf(v), C.float(above), floatsOf(out), C.int(len(v)))
	}
}

// Nth is the number that sorting v, which holds no NaN, would put at index k; v is moved
// about (Hoare's selection, 1961, from memory).
func Nth[T float32 | float64](v []T, k int) T {
	lo, hi := 0, len(v)-1
	for lo < hi {
		pivot, i, j := v[(lo+hi)/2], lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}
