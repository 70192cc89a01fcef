package floorlight

import (
	"math"

	"rowlight/vision"
)

const (
	// kernelSigmas is where a gaussian is cut off.
	kernelSigmas = 3
	// boxPasses of a box come within 3 % of a gaussian's shape (Wells 1986, PAMI 8:234).
	boxPasses = 3
)

// gaussian is one side of a kernel of sigma px, from its middle, as far as a Smoother
// reaches.
func gaussian(sigma float64) []float32 {
	r := min(int(math.Ceil(kernelSigmas*sigma)), vision.SmoothReach)
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

// broadBoxes are kernels over cells, each one side of a box from its middle, that one
// after another blur sums over cells as boxes of sigma px would blur the pixels. A cell's
// width and the straight line to the next spread by (n^2 - 1)/12 and (n^2 - 1)/6 beside them.
func broadBoxes(sigma float64) (kernels [boxPasses][]float32) {
	const n = vision.BroadCell
	for i, r := range boxRadii(math.Sqrt(math.Max(sigma*sigma-(n*n-1)/4.0, 1))) {
		width := float64(2*r+1) / n
		for k := 0; float64(k)-0.5 < width/2; k++ {
			kernels[i] = append(kernels[i], float32(math.Min(width/2-float64(k)+0.5, 1)/width))
		}
		if width < 1 {
			kernels[i] = []float32{1}
		}
	}
	return kernels
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
