package scene

import "math"

// paintSoil crumbles bare ground: clods with their shadows, a few dead leaves.
func paintSoil(rnd *Rand) *tile {
	c := newCanvas(rnd)
	for range soilCrumbs {
		tint := soilColour().scale(1.15 * math.Exp(0.25*rnd.Normal()))
		r := 0.003 * math.Exp(0.6*rnd.Normal())
		b := blade{rnd.Between(0, tileM), rnd.Between(0, tileM), rnd.Between(0, 2*math.Pi), min(r*1.6, 0.03), min(r, 0.02)}
		c.shadow(b, 0.4*b.wide)
		c.stroke(b, tint, rnd.Between(-0.2, 0.2))
	}
	c.deadLeaves(rnd, soilLitter)
	return c.tile()
}

// chipColour is weathered wood.
func chipColour() RGB { return RGB{0.20, 0.135, 0.085} }

// paintMulch strews chips of wood, some pale, most grey and brown.
func paintMulch(rnd *Rand) *tile {
	c := newCanvas(rnd)
	for range mulchChips {
		tint := chipColour().mul(RGB{1, float32(rnd.Between(0.85, 1.15)), float32(rnd.Between(0.7, 1.4))})
		tint = tint.scale(math.Exp(0.42 * rnd.Normal()))
		b := blade{rnd.Between(0, tileM), rnd.Between(0, tileM), rnd.Between(0, 2*math.Pi),
			rnd.Between(0.010, 0.045), rnd.Between(0.004, 0.011)}
		c.shadow(b, 0.005)
		c.stroke(b, tint, rnd.Between(-0.25, 0.25))
	}
	return c.tile()
}

// deadLeaves strews leaves of litter.
func (c *canvas) deadLeaves(rnd *Rand, n int) {
	for range n {
		tint := litterColour().scale(math.Exp(0.33 * rnd.Normal()))
		c.layLeaf(rnd, tint)
	}
}

// layLeaf lays one dead leaf over its own thin shadow.
func (c *canvas) layLeaf(rnd *Rand, tint RGB) {
	b := blade{rnd.Between(0, tileM), rnd.Between(0, tileM), rnd.Between(0, 2*math.Pi),
		rnd.Between(0.035, 0.075), rnd.Between(0.012, 0.030)}
	c.shadow(b, 0.006)
	c.stroke(b, tint, rnd.Between(-0.25, 0.25))
}
