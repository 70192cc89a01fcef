package floorlight

import "math"

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
	if sigma <= 0 {
		return out
	}
	line := newLineBlur(sigma, max(a.w, a.h))
	for y := range a.h {
		line.run(out.v, y*a.w, 1, a.w)
	}
	for x := range a.w {
		line.run(out.v, x, a.w, a.h)
	}
	return out
}

// smoothed returns the mean of a over the pixels weighted by mask under a
// gaussian; where the mask has nothing in reach it is 0.
func (a *plane) smoothed(mask *plane, sigma float64) *plane {
	num, den := a.times(mask).blurred(sigma), mask.blurred(sigma)
	for i, d := range den.v {
		if d > 1e-4 {
			num.v[i] /= d
		} else {
			num.v[i] = 0
		}
	}
	return num
}

type lineBlur struct {
	kernel []float32 // one side, from the middle; nil takes boxes
	radii  [boxPasses]int
	a, b   []float32
}

func newLineBlur(sigma float64, n int) *lineBlur {
	l := &lineBlur{a: make([]float32, n), b: make([]float32, n)}
	if sigma > kernelMostSigma {
		l.radii = boxRadii(sigma)
		return l
	}
	r := int(math.Ceil(3 * sigma))
	sum := 0.0
	for i := 0; i <= r; i++ {
		k := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		l.kernel = append(l.kernel, float32(k))
		sum += k
		if i > 0 {
			sum += k
		}
	}
	for i := range l.kernel {
		l.kernel[i] /= float32(sum)
	}
	return l
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

// run blurs n values of v from at, step apart.
func (l *lineBlur) run(v []float32, at, step, n int) {
	a, b := l.a[:n], l.b[:n]
	for i := range a {
		a[i] = v[at+i*step]
	}
	if l.kernel != nil {
		l.convolve(a, b)
		a = b
	} else {
		for _, r := range l.radii {
			box(a, b, r)
			a, b = b, a
		}
	}
	for i := range a {
		v[at+i*step] = a[i]
	}
}

func (l *lineBlur) convolve(a, b []float32) {
	n := len(a)
	for i := range b {
		s := l.kernel[0] * a[i]
		for k := 1; k < len(l.kernel); k++ {
			if i-k >= 0 {
				s += l.kernel[k] * a[i-k]
			}
			if i+k < n {
				s += l.kernel[k] * a[i+k]
			}
		}
		b[i] = s
	}
}

func box(a, b []float32, r int) {
	n := len(a)
	var sum float64
	for i := 0; i < min(r, n); i++ {
		sum += float64(a[i])
	}
	k := 1 / float64(2*r+1)
	for i := range b {
		if i+r < n {
			sum += float64(a[i+r])
		}
		if i-r-1 >= 0 {
			sum -= float64(a[i-r-1])
		}
		b[i] = float32(sum * k)
	}
}
