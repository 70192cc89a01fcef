package stereo

import (
	"fmt"
	"math"
	"slices"

	"rowlight/vision"
)

// Search is where disparities are looked for: Count of them (rounded up to what
// the matcher takes) from Least, whole pixels.
type Search struct {
	Least, Count int
	// Rightward: points lie farther right in the second view, not farther left.
	Rightward bool
}

const (
	blockPx = 5 // a leaf at 6 m is three of these long
	// Penalties for a step of one pixel and for a jump of disparity, per pixel of the
	// block. OpenCV's samples take 8 and 32; leaves are small pieces at all depths
	// that look alike, and a dearer jump (128) leaves several times as many right
	// matches and a tenth of the wrong ones (seen on practice_alley_00 and 01).
	stepPenalty, jumpPenalty = 4 * blockPx * blockPx, 128 * blockPx * blockPx
	// uniquePercent: by how much the best cost must beat the others. With so dear a
	// jump the match both ways and the size of the patch tell wrong matches better.
	uniquePercent = 0
	disparitySub  = 16 // the matcher counts in sixteenths of a pixel
	countStep     = 16 // and searches so many at a time
)

// Disparities returns how far each pixel of the first view has moved in the second,
// px; NaN where no match is found that holds both ways. Both views must be of one
// size, a point on one row in both.
func Disparities(first, second *Grey, s Search) (*vision.Raster, error) {
	if first.W != second.W || first.H != second.H || len(first.Pix) == 0 {
		return nil, fmt.Errorf("vision/stereo: views of %d x %d and %d x %d px cannot be compared", first.W, first.H, second.W, second.H)
	}
	s.Count = (s.Count + countStep - 1) / countStep * countStep
	if s.Rightward {
		first, second = mirrored(first), mirrored(second)
	}
	raw, err := disparities(first, second, s)
	if err != nil {
		return nil, err
	}
	out := vision.NewRaster(first.W, first.H)
	for i, d := range raw {
		out.V[i] = float32(d) / disparitySub
		if int(d) < disparitySub*s.Least || d <= 0 {
			out.V[i] = float32(math.NaN())
		}
	}
	if s.Rightward {
		for y := range out.H {
			slices.Reverse(out.V[y*out.W : (y+1)*out.W])
		}
	}
	return out, nil
}

func mirrored(g *Grey) *Grey {
	out := &Grey{W: g.W, H: g.H, Pix: slices.Clone(g.Pix)}
	for y := range g.H {
		slices.Reverse(out.Pix[y*g.W : (y+1)*g.W])
	}
	return out
}

// Patches returns for each pixel how many pixels belong to its patch: pixels that
// hang together with disparities that differ by no more than stepPx from one to the
// next; 0 where there is no disparity. Wrong matches make small patches.
func Patches(d *vision.Raster, stepPx float32) []int32 {
	size := make([]int32, len(d.V))
	var stack, members []int32
	for i := range d.V {
		if size[i] != 0 || d.V[i] != d.V[i] {
			continue
		}
		stack, members = append(stack[:0], int32(i)), members[:0]
		size[i] = -1
		for len(stack) > 0 {
			k := stack[len(stack)-1]
			stack, members = stack[:len(stack)-1], append(members, k)
			x := int(k) % d.W
			for _, n := range [4]struct {
				at int
				in bool
			}{{int(k) - 1, x > 0}, {int(k) + 1, x < d.W-1}, {int(k) - d.W, int(k) >= d.W}, {int(k) + d.W, int(k)+d.W < len(d.V)}} {
				if n.in && size[n.at] == 0 && abs32(d.V[n.at]-d.V[k]) <= stepPx {
					size[n.at] = -1
					stack = append(stack, int32(n.at))
				}
			}
		}
		for _, k := range members {
			size[k] = int32(len(members))
		}
	}
	return size
}

func abs32(v float32) float32 { return float32(math.Abs(float64(v))) }
