package alleyview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// vanishGrid spaces the pixels that vote for the vanishing point, in
	// working pixels: about a leaf's width at the board.
	vanishGrid = 8
	// vanishBins of angle around the point, 5 degrees each: a wall's edge is
	// ragged by more.
	vanishBins = 72
	// The pixels that vote lie within these distances of the point, as shares of
	// the photo's longer side: nearer ones are leaf noise, farther ones see trees
	// beside the camera.
	vanishNear, vanishFar = 0.02, 0.42
)

// Vanishing finds the point of the photo that the rows run to, near a first
// guess: a straight alley shows the same class all along each line from that
// point, so the point is where the class is told best by the angle around it
// (the least entropy of open against canopy, given the angle). reachPx is how
// far from the guess to look. bitsGained is what the angle tells of the class,
// in bits a pixel; near 0 means no alley.
func (v *View) Vanishing(guess calibrate.Pixel, reachPx float64) (at calibrate.Pixel, bitsGained float64) {
	votes := v.vanishVotes()
	long := math.Max(float64(v.W), float64(v.H)) * float64(v.Factor)
	told := newBits(votes.Len())
	at, bitsGained = guess, -1.0
	const steps, rounds = 5, 4
	for range rounds {
		centre := at
		// Points farther off vote for no place that is tried. Over the most, for rounding.
		near := votes.Within(centre.X, centre.Y, 1.001*(vanishFar*long+math.Sqrt2*reachPx))
		for i := -steps; i <= steps; i++ {
			for j := -steps; j <= steps; j++ {
				p := calibrate.Pixel{X: centre.X + reachPx*float64(i)/steps, Y: centre.Y + reachPx*float64(j)/steps}
				if g := told.gain(near, p, long); g > bitsGained {
					at, bitsGained = p, g
				}
			}
		}
		reachPx *= 0.4
	}
	return at, bitsGained
}

// vanishVotes are the pixels that vote; the open ones are marked.
func (v *View) vanishVotes() *vision.Marked {
	var x, y []float64
	var open []bool
	for row := vanishGrid / 2; row < v.H; row += vanishGrid {
		for column := vanishGrid / 2; column < v.W; column += vanishGrid {
			if c := v.class(column, row); c != Board {
				p := v.photoPixel(column, row)
				x, y, open = append(x, p.X), append(y, p.Y), append(open, c != Canopy)
			}
		}
	}
	return vision.NewMarked(x, y, open)
}

// bits are n log2 n of the whole numbers from 0 on.
type bits []float64

func newBits(most int) bits {
	out := make(bits, most+1)
	for n := 2; n <= most; n++ {
		out[n] = float64(n) * math.Log2(float64(n))
	}
	return out
}

// needed is how many bits it takes to tell which of all are marked, knowing how many.
func (b bits) needed(all, marked int32) float64 { return b[all] - b[marked] - b[all-marked] }

// gain is the mutual information of angle and class, bits a pixel.
func (b bits) gain(votes *vision.Marked, p calibrate.Pixel, longPx float64) float64 {
	var open, all [vanishBins]int32
	least, most := vanishNear*longPx*vanishNear*longPx, vanishFar*longPx*vanishFar*longPx
	votes.AngleVotes(p.X, p.Y, least, most, all[:], open[:])
	var sumOpen, sum int32
	var known float64
	for k := range all {
		sum += all[k]
		sumOpen += open[k]
		known += b.needed(all[k], open[k])
	}
	if sum == 0 {
		return 0
	}
	return (b.needed(sum, sumOpen) - known) / float64(sum)
}
