package sideview

import "math"

// boxMean averages v over (2 half + 1)^2 pixels, fewer at the edges.
func boxMean(v []float32, w, h, half int) []float32 {
	return boxColumns(boxRows(v, w, h, half), w, h, half)
}

func boxRows(v []float32, w, h, half int) []float32 {
	out := make([]float32, len(v))
	for y := range h {
		boxLine(v[y*w:(y+1)*w], out[y*w:(y+1)*w], half)
	}
	return out
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

// boxColumns runs down all columns at once, row by row, to stay in the cache.
func boxColumns(v []float32, w, h, half int) []float32 {
	out := make([]float32, len(v))
	sum := make([]float64, w)
	n := 0
	for y := -half; y < h; y++ {
		if a := y + half; a < h {
			for x, t := range v[a*w : (a+1)*w] {
				sum[x] += float64(t)
			}
			n++
		}
		if d := y - half - 1; d >= 0 {
			for x, t := range v[d*w : (d+1)*w] {
				sum[x] -= float64(t)
			}
			n--
		}
		if y >= 0 {
			for x, s := range sum {
				out[y*w+x] = float32(s / float64(n))
			}
		}
	}
	return out
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
