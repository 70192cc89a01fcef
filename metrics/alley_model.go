package metrics

import (
	"math"

	"rowlight/metrics/wallsums"
)

// crown is the shape all trees of the two rows share: round in plan, its side
// anything between an egg and a box, below and above its middle apart (|h|^low and
// |h|^high), its leaves thinning out across its surface.
type crown struct {
	halfDepthM  float64                   // across the row
	halfLengthM float64                   // along it
	baseM, topM float64                   // above the ground
	perM        float64                   // share of sight taken per metre, -d ln(open)/dm
	low, high   float64                   // exponents: 2 an egg, 8 nearly a box
	side        [2*sideSteps + 1]sideCell // from -sideReach up
	// What shaped works out of the above: turned round, for a look is as dear as
	// its divisions.
	perDepth, perLength, perHalf float64
}

const (
	// sideReach: beyond this from the middle (1 is the crown's end) no leaf grows.
	sideReach = 1.5
	// sideSteps is how finely |h|^n is laid down to either side for quick looks.
	sideSteps = 48
	sidePerH  = sideSteps / sideReach
)

// sideCell is |h|^n at a cell's lower end and its rise over the cell, and the same of its
// slope by ln n.
type sideCell struct{ at, rise, form, formRise float64 }

// sideMost bounds the logarithm of |h|^n: no leaf grows there, and its eighth power is
// still a number.
const sideMost = 40.0

// shaped lays down the crown's side.
func (c crown) shaped(exp *expTable) crown {
	c.perDepth, c.perLength, c.perHalf = 1/c.halfDepthM, 1/c.halfLengthM, 1/(c.topM-c.baseM)
	var low, high, lowForm, highForm float64
	for i := range sideSteps {
		log := math.Log(float64(i+1) / sidePerH)
		l, h := min(c.low*log, sideMost), min(c.high*log, sideMost)
		nextLow, nextHigh := exp.of(l), exp.of(h)
		nextLowForm, nextHighForm := nextLow*l, nextHigh*h
		c.side[sideSteps-1-i] = sideCell{nextLow, low - nextLow, nextLowForm, lowForm - nextLowForm}
		c.side[sideSteps+i] = sideCell{high, nextHigh - high, highForm, nextHighForm - highForm}
		low, high, lowForm, highForm = nextLow, nextHigh, nextLowForm, nextHighForm
	}
	c.side[2*sideSteps] = sideCell{at: high, form: highForm} // for rounding
	return c
}

// sideAt is |h|^n at h from the crown's middle to its ends (-1 and 1), nearer
// than sideReach.
func (c *crown) sideAt(h float64) float64 {
	t := h*sidePerH + sideSteps
	i := int(t)
	s := &c.side[i]
	return s.at + s.rise*(t-float64(i))
}

// sideSlopes is sideAt, with which exponent it goes by (0 low, 1 high) and its slopes by
// h and by ln of that exponent.
func (c *crown) sideSlopes(h float64) (k int, at, perH, perForm float64) {
	t := h*sidePerH + sideSteps
	i := int(t)
	s := &c.side[i]
	t -= float64(i)
	return min(i/sideSteps, 1), s.at + s.rise*t, s.rise * sidePerH, s.form + s.formRise*t
}

const (
	// Sights are summed across a row in steps of its crowns' half depth, out to
	// where a crown's leaves have gone.
	crossSteps, crossReach = 7, 1.3
	// sideClear: a sight steeper to the side than this sees trees beside the
	// camera, too near to be like crowns.
	sideLeast = 0.03
)

// nearest is the tree next to a place along the row, and how far from it.
func (r *alleyRow) nearest(y, spacing float64) (tree int, along float64) {
	k := math.Round((y - r.firstM) / spacing)
	return int(k), y - r.firstM - k*spacing
}

// faceShare: the wall's face is where 2 % of the leaves lie nearer to the
// alley, of those within a metre of the innermost: what a tape held against the
// wall would call the face.
const faceShare = 0.02

// faceM is how far the face stands before the trees' line, at a place along the
// row from the nearest tree; sliceM to either side of it count.
func (c *crown) faceM(along, sliceM float64) float64 {
	const steps, slices, heights = 120, 5, 20
	const places, padded = heights * slices, (heights*slices + 7) / 8 * 8
	most := 2 * c.halfDepthM
	var rest [padded]float32 // of the distance from the crown's middle, squared
	for i := range heights {
		side := c.sideAt(0.1*float64(i) - 0.95)
		for j := range slices {
			y := (along + sliceM*(2*float64(j)+1-slices)/slices) * c.perLength
			rest[i*slices+j] = float32(y*y + side)
		}
	}
	for i := places; i < padded; i++ {
		rest[i] = wallsums.Farthest
	}
	var square [steps]float32
	for i := range square {
		x := 2 * ((float64(i)+0.5)/steps - 1)
		square[i] = float32(x * x)
	}
	var sum [steps]float64
	wallsums.LeafSums(square[:], rest[:], sum[:])
	var all, nearer float64
	for _, s := range sum {
		all += s
	}
	for i, s := range sum {
		if nearer += s; nearer >= faceShare*all {
			return most - most*float64(i)/steps
		}
	}
	return c.halfDepthM
}
