package floorlight

import (
	"math"

	"rowlight/vision"
)

// plane is a raster of floats.
type plane struct {
	w, h int
	v    []float32
}

func newPlane(w, h int) *plane { return &plane{w, h, make([]float32, w*h)} }

// times returns a*b pixel by pixel.
func (a *plane) times(b *plane) *plane {
	out := newPlane(a.w, a.h)
	for i := range out.v {
		out.v[i] = a.v[i] * b.v[i]
	}
	return out
}

const (
	// kernelMostSigma: up to here the sampled gaussian itself, beyond it three
	// boxes, whose shape is within 3 % of a gaussian's (Wells 1986, PAMI 8:234).
	kernelMostSigma = 4.0
	boxPasses       = 3
)

// blurred returns the plane under a gaussian of sigma px, with nothing outside.
func (a *plane) blurred(sigma float64) *plane {
	out := newPlane(a.w, a.h)
	copy(out.v, a.v)
	out.blur(sigma)
	return out
}

// blur is blurred in place.
func (a *plane) blur(sigma float64) {
	switch {
	case sigma <= 0:
	case sigma > kernelMostSigma:
		radii := boxRadii(sigma)
		vision.BoxBlur(a.v, a.w, radii[:])
	default:
		vision.Convolve(a.v, a.w, gaussian(sigma))
	}
}

// over divides by how much of the mask was in reach, 0 where nothing was.
func (a *plane) over(den *plane) *plane {
	for i, d := range den.v {
		if d > 1e-4 {
			a.v[i] /= d
		} else {
			a.v[i] = 0
		}
	}
	return a
}

// gaussian is one side of the kernel, from its middle.
func gaussian(sigma float64) []float32 {
	r := int(math.Ceil(3 * sigma))
	kernel := make([]float32, r+1)
	sum := 0.0
	for i := range kernel {
		k := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		kernel[i] = float32(k)
		sum += k
		if i > 0 {
			sum += k
		}
	}
	for i := range kernel {
		kernel[i] /= float32(sum)
	}
	return kernel
}

// boxRadii returns boxes whose variances, r(r+1)/3 each, add up to sigma^2 as
// nearly as whole pixels allow: some of radius r, the rest of r+1.
func boxRadii(sigma float64) (radii [boxPasses]int) {
	r := int((math.Sqrt(12*sigma*sigma/boxPasses+1) - 1) / 2)
	v := float64(r*(r+1)) / 3
	wide := int(math.Round((sigma*sigma - boxPasses*v) / (2 * float64(r+1) / 3)))
	for i := range radii {
		radii[i] = r
		if i < wide {
			radii[i]++
		}
	}
	return radii
}
