package scene

import "math"

// canvas is a tile being painted, linear reflectance.
type canvas struct{ px []RGB }

// Mean reflectances (dry litter 0.15-0.3, green grass 0.1, soil 0.08 in the
// visible; from memory). Pieces vary about them by 2 to 3 times, as litter does.
func soilColour() RGB   { return RGB{0.105, 0.072, 0.048} }
func litterColour() RGB { return RGB{0.250, 0.165, 0.095} }
func grassColour() RGB  { return RGB{0.100, 0.155, 0.045} }
func strawColour() RGB  { return RGB{0.340, 0.280, 0.150} }

const (
	litterPieces = 9500
	soilCrumbs   = 60000
	soilLitter   = 260
	mulchChips   = 42000
	grassBlades  = 52000
)

func newCanvas(rnd *Rand) *canvas {
	c := &canvas{make([]RGB, tilePx*tilePx)}
	for i := range c.px {
		c.px[i] = soilColour().scale(rnd.Between(0.6, 1.4))
	}
	return c
}

// paintLitter scatters dead leaves, each over its own thin shadow.
func paintLitter(rnd *Rand) *tile {
	c := newCanvas(rnd)
	for range litterPieces {
		tint := litterColour().mul(RGB{1, float32(rnd.Between(0.82, 1.1)), float32(rnd.Between(0.7, 1.25))})
		tint = tint.scale(math.Exp(0.33 * rnd.Normal()))
		c.layLeaf(rnd, tint)
	}
	return c.tile()
}

// paintGrass lays short blades over soil, green and straw.
func paintGrass(rnd *Rand) *tile {
	c := newCanvas(rnd)
	for range grassBlades {
		tint := grassColour()
		if rnd.Float() < 0.22 {
			tint = strawColour()
		}
		tint = tint.scale(math.Exp(0.3 * rnd.Normal()))
		b := blade{rnd.Between(0, tileM), rnd.Between(0, tileM), rnd.Between(0, 2*math.Pi),
			rnd.Between(0.03, 0.07), rnd.Between(0.0025, 0.0045)}
		c.shadow(b, 0.004)
		c.stroke(b, tint, rnd.Between(-0.2, 0.2))
	}
	return c.tile()
}

// blade is a long lens shape: middle, heading, half length, half width, metres.
type blade struct{ x, y, turn, long, wide float64 }

// each calls visit for the texels a blade covers: a along it, b across it, -1..1.
func (bl blade) each(visit func(index int, a, b float64)) {
	const texel = tileM / tilePx
	s, c := math.Sincos(bl.turn)
	ex := math.Abs(c)*bl.long + math.Abs(s)*bl.wide
	ey := math.Abs(s)*bl.long + math.Abs(c)*bl.wide
	for j := int((bl.y - ey) / texel); j <= int((bl.y+ey)/texel)+1; j++ {
		dy := (float64(j)+0.5)*texel - bl.y
		lo, hi := -ex, ex
		if math.Abs(s) > 1e-3 { // the strip of this row within the half width
			p, q := (dy*c-bl.wide)/s, (dy*c+bl.wide)/s
			lo, hi = max(lo, min(p, q)), min(hi, max(p, q))
		}
		for i := int((bl.x+lo)/texel) - 1; i <= int((bl.x+hi)/texel)+1; i++ {
			dx := (float64(i)+0.5)*texel - bl.x
			a, b := (dx*c+dy*s)/bl.long, (dy*c-dx*s)/bl.wide
			if math.Abs(b) < 1-a*a {
				visit(wrap(j, tilePx)*tilePx+wrap(i, tilePx), a, b)
			}
		}
	}
}

// shadow darkens beside a blade that lies a little above what is under it.
func (c *canvas) shadow(b blade, offsetM float64) {
	b.x, b.y = b.x+offsetM, b.y-offsetM
	b.wide += 0.3 * offsetM
	b.each(func(i int, _, _ float64) { c.px[i] = c.px[i].scale(0.62) })
}

// stroke paints a blade: one half lighter by its fold, a pale midrib, dark rim.
func (c *canvas) stroke(b blade, tint RGB, fold float64) {
	b.each(func(i int, _, across float64) {
		k := 1 + fold
		if across > 0 {
			k = 1 - fold
		}
		if math.Abs(across) < 0.12 {
			k += 0.12
		}
		c.px[i] = tint.scale(k * (1 - 0.25*across*across))
	})
}

// tile packs the canvas and its smaller copies.
func (c *canvas) tile() *tile {
	t := &tile{}
	px, n := c.px, tilePx
	for {
		level := make([]uint8, 3*n*n)
		for i, p := range px {
			for k, v := range p {
				level[3*i+k] = uint8(255*math.Sqrt(math.Min(1, float64(v))) + 0.5)
			}
		}
		t.levels = append(t.levels, level)
		if n%2 != 0 || n < 50 {
			return t
		}
		px, n = halve(px, n), n/2
	}
}

// halve averages blocks of two by two.
func halve(px []RGB, n int) []RGB {
	h := n / 2
	out := make([]RGB, h*h)
	for j := range h {
		for i := range h {
			k := 2*j*n + 2*i
			out[j*h+i] = px[k].add(px[k+1]).add(px[k+n]).add(px[k+n+1]).scale(0.25)
		}
	}
	return out
}
