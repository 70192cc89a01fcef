package skyward

import "math"

// histogram counts 8-bit codes.
type histogram [256]float64

// smoothed is the histogram under a running mean of 2*reach+1 codes: JPEG and
// sharpening leave combs that would pass for peaks and valleys.
func (h *histogram) smoothed(reach int) (out histogram) {
	for i := range h {
		n := 0.0
		for k := max(i-reach, 0); k <= min(i+reach, len(h)-1); k++ {
			out[i] += h[k]
			n++
		}
		out[i] /= n
	}
	return out
}

// quantile is the code below which the share q of the counts lies; 0 for none.
func (h *histogram) quantile(q float64) int {
	total := 0.0
	for _, c := range h {
		total += c
	}
	seen := 0.0
	for i, c := range h {
		if seen += c; seen > 0 && seen >= q*total {
			return i
		}
	}
	return 0
}

// peak is the fullest code of from..to, both included.
func (h *histogram) peak(from, to int) int {
	best := from
	for i := from; i <= to; i++ {
		if h[i] > h[best] {
			best = i
		}
	}
	return best
}

// valley is the emptiest code of from..to; of several, their middle.
func (h *histogram) valley(from, to int) int {
	least := math.Inf(1)
	first, last := from, from
	for i := from; i <= to; i++ {
		switch {
		case h[i] < least:
			least, first, last = h[i], i, i
		case h[i] == least:
			last = i
		}
	}
	return (first + last) / 2
}

// corner returns the code between peak and end that lies farthest under the
// straight line from the peak's top to the end's (Rosin 2001). end may lie on
// either side of the peak. Where the counts fall along a straight line or a
// bulge, it is the end.
func (h *histogram) corner(peak, end int) int {
	dx, dy := float64(end-peak), h[end]-h[peak]
	length := math.Hypot(dx, dy)
	best, far := end, 0.0
	step := 1
	if end < peak {
		step = -1
	}
	for i := peak; i != end; i += step {
		// distance of (i, h[i]) below the chord, along its normal
		d := (h[peak] + dy*float64(i-peak)/dx - h[i]) * math.Abs(dx) / length
		if d > far {
			best, far = i, d
		}
	}
	return best
}
