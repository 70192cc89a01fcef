package scene

import "math"

// Outline is how the pixels within a tree's outline share out.
type Outline struct {
	SkyGap    float64 // sky / outline
	NotTarget float64 // sky, other foliage and ground / outline
	Pixels    int
}

// closeM is the radius of the disc that closes the outline.
const closeM = 0.25

// TreeOutline returns the shares within a tree's outline: all its leaves projected,
// hidden or not, closed with a disc 0.5 m across at the trunk's distance, holes
// filled.
func (v *View) TreeOutline(target int, classes []Class) Outline {
	_, b := v.once(func(f *face) bool { return f.kind == leafFace && int(f.tree) == target })
	depth := v.Camera.local(v.stand.On(v.stand.Trees[target].Spec.At)).Z
	in := closed(b, v.Camera.FocalPx*closeM/depth)
	var count [BoardClass + 1]float64
	n := 0
	for i, c := range classes {
		if in[i] {
			count[c]++
			n++
		}
	}
	all := float64(n)
	return Outline{count[SkyClass] / all, (count[SkyClass] + count[FoliageClass] + count[GroundClass]) / all, n}
}

// closed grows what was hit by a disc, shrinks it again and fills its holes.
func closed(b *band, radiusPx float64) []bool {
	hit := make([]bool, len(b.hit))
	for i, h := range b.hit {
		hit[i] = h >= 0
	}
	h := len(hit) / b.w
	grown := within(hit, b.w, h, radiusPx)
	for i := range grown {
		grown[i] = !grown[i]
	}
	away := within(grown, b.w, h, radiusPx)
	open := make([]bool, len(hit)) // outside, once reached from the rim
	for i := range away {
		open[i] = away[i] && !hit[i]
	}
	outside := reached(open, b.w, h)
	for i := range outside {
		outside[i] = !outside[i]
	}
	return outside
}

// within marks pixels that lie within a distance of a marked one: exact, by the
// two passes of Felzenszwalb and Huttenlocher's distance transform (2012).
func within(mark []bool, w, h int, radiusPx float64) []bool {
	column := make([]float64, w*h) // squared distance down the column
	far := float64(w+h) * float64(w+h)
	for x := range w {
		d := math.Sqrt(far)
		for y := range h {
			if d++; mark[y*w+x] {
				d = 0
			}
			column[y*w+x] = min(far, d*d)
		}
		d = math.Sqrt(far)
		for y := h - 1; y >= 0; y-- {
			if d++; mark[y*w+x] {
				d = 0
			}
			column[y*w+x] = min(column[y*w+x], d*d)
		}
	}
	out := make([]bool, w*h)
	reach, limit := int(radiusPx), radiusPx*radiusPx
	for y := range h {
		rowWithin(out[y*w:(y+1)*w], column[y*w:(y+1)*w], reach, limit)
	}
	return out
}

// rowWithin marks, for every pixel of a row, the stretch to both sides that its
// column's nearest mark reaches.
func rowWithin(out []bool, column []float64, reach int, limit float64) {
	for x, c := range column {
		if c > limit {
			continue
		}
		k := min(reach, int(math.Sqrt(limit-c)))
		for i := max(x-k, 0); i <= min(len(out)-1, x+k); i++ {
			out[i] = true
		}
	}
}

// reached marks the open pixels joined to the picture's rim.
func reached(open []bool, w, h int) []bool {
	out := make([]bool, len(open))
	var stack []int32
	push := func(x, y int) {
		if i := y*w + x; x >= 0 && y >= 0 && x < w && y < h && open[i] && !out[i] {
			out[i] = true
			stack = append(stack, int32(i))
		}
	}
	for x := range w {
		push(x, 0)
		push(x, h-1)
	}
	for y := range h {
		push(0, y)
		push(w-1, y)
	}
	for len(stack) > 0 {
		i := int(stack[len(stack)-1])
		stack = stack[:len(stack)-1]
		x, y := i%w, i/w
		push(x-1, y)
		push(x+1, y)
		push(x, y-1)
		push(x, y+1)
	}
	return out
}
