package sideview

import "math"

// boxMean averages v in place over (2 half + 1)^2 pixels, fewer at the edges. It
// runs down all columns at once, row by row, to stay in the cache, and holds
// along-the-row means of as many rows only as it must still take off its sums.
func boxMean(v []float32, w, h, half int) {
	held := 2*half + 2
	ring, sum := make([]float32, held*w), make([]float64, w)
	n := 0
	for y := -half; y < h; y++ {
		if a := y + half; a < h {
			row := ring[a%held*w:][:w]
			boxLine(v[a*w:(a+1)*w], row, half)
			for x, t := range row {
				sum[x] += float64(t)
			}
			n++
		}
		if d := y - half - 1; d >= 0 {
			for x, t := range ring[d%held*w:][:w] {
				sum[x] -= float64(t)
			}
			n--
		}
		if y >= 0 {
			for x, s := range sum {
				v[y*w+x] = float32(s / float64(n))
			}
		}
	}
}

func boxLine(in, out []float32, half int) {
	var sum float64
	n := 0
	for x := -half; x < len(in); x++ {
		if a := x + half; a < len(in) {
			sum += float64(in[a])
			n++
		}
		if d := x - half - 1; d >= 0 {
			sum -= float64(in[d])
			n--
		}
		if x >= 0 {
			out[x] = float32(sum / float64(n))
		}
	}
}

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
