package metrics

import "math"

// crown is the shape all trees of the two rows share: round in plan, its side
// anything between an egg and a box, below and above its middle apart (|h|^low and
// |h|^high), its leaves thinning out across its surface.
type crown struct {
	halfDepthM  float64 // across the row
	halfLengthM float64 // along it
	baseM, topM float64 // above the ground
	perM        float64 // share of sight taken per metre, -d ln(open)/dm
	low, high   float64 // exponents: 2 an egg, 8 nearly a box
	side        [2][sideSteps + 2]float64
	// What shaped works out of the above: turned round, for a look is as dear as
	// its divisions.
	perDepth, perLength, perHalf float64
}

// sideSteps is how finely |h|^n is laid down for quick looks.
const sideSteps = 48

// shaped lays down the crown's side.
func (c crown) shaped() crown {
	c.perDepth, c.perLength, c.perHalf = 1/c.halfDepthM, 1/c.halfLengthM, 1/(c.topM-c.baseM)
	for k, n := range [2]float64{c.low, c.high} {
		for i := range c.side[k] {
			c.side[k][i] = math.Pow(float64(i)/sideSteps*sideReach, n)
		}
	}
	return c
}

// sideReach: beyond this from the middle (1 is the crown's end) no leaf grows.
const sideReach = 1.5

// density is the leaf density at a place relative to the crown's middle: 1
// inside, a half on the surface.
func (c *crown) density(across, along, z float64) float64 {
	h := (2*z - c.topM - c.baseM) * c.perHalf
	if h >= sideReach || h <= -sideReach {
		return 0
	}
	x, y := across*c.perDepth, along*c.perLength
	return leaves(x*x + y*y + c.sideAt(h))
}

// sideAt is |h|^n at h from the crown's middle to its ends (-1 and 1), nearer
// than sideReach.
func (c *crown) sideAt(h float64) float64 {
	k := 1
	if h < 0 {
		h, k = -h, 0
	}
	t := h * (sideSteps / sideReach)
	i := int(t)
	t -= float64(i)
	return c.side[k][i]*(1-t) + c.side[k][i+1]*t
}

// leaves is the density at q from the crown's middle, 1 on its surface.
func leaves(q float64) float64 {
	q *= q
	q *= q
	return 1 / (1 + q*q)
}

const (
	// Sights are summed across a row in steps of its crowns' half depth, out to
	// where a crown's leaves have gone.
	crossSteps, crossReach = 7, 1.3
	// sideClear: a sight steeper to the side than this sees trees beside the
	// camera, too near to be like crowns.
	sideLeast = 0.03
)

// open is the chance that a sight passes a row. right is measured outward.
func (a *Alley) open(r *alleyRow, c *crown, outward, up float64) float64 {
	if outward < sideLeast {
		return 1
	}
	step := 2 * crossReach * c.halfDepthM / crossSteps
	ahead, perTree := 1/outward, 1/a.SpacingM
	var tau float64
	for i := range crossSteps {
		across := -crossReach*c.halfDepthM + (float64(i)+0.5)*step
		x := r.lineM + across
		if x <= 0 {
			continue
		}
		y := x * ahead
		z := a.scene.CameraHeightM + up*y
		if z < 0 || z > c.topM*1.3 {
			continue
		}
		k := math.Floor((y-r.firstM)*perTree + 0.5)
		if len(r.offM) > 0 { // not while the rows are being fitted
			across -= r.offM[int(k)]
		}
		tau += c.density(across, y-r.firstM-k*a.SpacingM, z)
	}
	length := step * math.Sqrt(1+(1+up*up)/(outward*outward))
	return a.exp.of(-c.perM * tau * length)
}

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
	most := 2 * c.halfDepthM
	var side [heights]float64
	for i := range side {
		side[i] = c.sideAt(0.1*float64(i) - 0.95)
	}
	var cum [steps + 1]float64
	for i := range steps {
		across := -most + most*(float64(i)+0.5)/steps
		var sum float64
		for j := range slices {
			x, y := across*c.perDepth, (along+sliceM*(2*float64(j)+1-slices)/slices)*c.perLength
			for _, s := range side {
				sum += leaves(x*x + y*y + s)
			}
		}
		cum[i+1] = cum[i] + sum
	}
	for i := range steps {
		if cum[i+1] >= faceShare*cum[steps] {
			return most - most*float64(i)/steps
		}
	}
	return c.halfDepthM
}
