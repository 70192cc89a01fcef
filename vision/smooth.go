package vision

// #include "smooth.h"
import "C"

import (
	"runtime"
)

// SmoothReach is how far from its middle a kernel of Smoother may reach.
const SmoothReach = C.RL_SMOOTH_REACH

// Source is what a Smoother smooths: the sum of K times Plane over those planes that are
// there, the first at least. It writes to Out, or with LnAbove over 0 the logarithm of
// that much more. Out may be a plane of any source.
type Source struct {
	Plane   [C.RL_SMOOTH_PLANES][]float32
	K       [C.RL_SMOOTH_PLANES]float32
	LnAbove float32
	Out     []float32
}

// Smoother takes means over part of a picture; it holds the scratch of one call after
// another. Not for two goroutines at once.
type Smoother struct {
	floats []float32
	bytes  []uint8
}

// Smooth takes the mean of the sources over the marked pixels of rasters w wide, under a
// symmetric kernel that adds up to 1, given from its middle to its end, along rows and
// columns. Where nothing is marked the mean is not to be used. Without marks it is the
// plain convolution, with nothing outside the raster.
func (s *Smoother) Smooth(in []bool, w int, kernel []float32, sources ...Source) {
	if len(sources) == 0 || len(sources[0].Out) == 0 || w == 0 {
		return
	}
	if len(sources) > C.RL_SMOOTH_MOST || len(kernel) > SmoothReach+1 {
		panic("vision: smooth: more sources or a longer kernel than there is room for")
	}
	h, reach := len(sources[0].Out)/w, C.int(len(kernel)-1)
	s.room(int(C.rl_smooth_floats(C.int(len(sources)), C.int(w), reach)), int(C.rl_smooth_bytes(C.int(w), reach)))
	// C may be handed Go pointers in Go memory only where they are pinned.
	var pin runtime.Pinner
	defer pin.Unpin()
	var list [C.RL_SMOOTH_MOST]C.rl_source
	for i, src := range sources {
		c := &list[i]
		for k, plane := range src.Plane {
			if len(plane) > 0 {
				pin.Pin(&plane[0])
				c.plane[k], c.k[k] = floatsOf(plane), C.float(src.K[k])
			}
		}
		pin.Pin(&src.Out[0])
		c.out, c.above = floatsOf(src.Out), C.float(src.LnAbove)
	}
	var marks *C.uchar
	if in != nil {
		marks = boolsOf(in)
	}
	C.rl_smooth(&list[0], C.int(len(sources)), marks, C.int(w), C.int(h), floatsOf(kernel), reach, floatsOf(s.floats), (*C.uchar)(&s.bytes[0]))
}

func (s *Smoother) room(floats, bytes int) {
	if len(s.floats) < floats {
		s.floats = make([]float32, floats)
	}
	if len(s.bytes) < bytes {
		s.bytes = make([]uint8, bytes)
	}
}
