package sideview

import "math"

// gaussKernel reaches three standard deviations, its middle at len/2.
func gaussKernel(sd float64) []float64 {
	half := int(math.Ceil(3 * sd))
	k := make([]float64, 2*half+1)
	for i := range k {
		d := float64(i-half) / sd
		k[i] = math.Exp(-d * d / 2)
	}
	return k
}
