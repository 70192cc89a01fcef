package scene

import (
	"math"
	"sync"
)

// Floor is what the ground is covered with.
type Floor int

// The floors.
const (
	Litter  Floor = iota // dry leaves over soil
	Grass                // short grass, half green, half straw
	Orchard              // litter along the rows, grass in the alleys
	Soil                 // bare, crumbled, a few dead leaves
	Mulch                // chips of wood
)

// A tile of floor: a square of tileM, tilePx texels a side, repeated.
const (
	tileM  = 4.0
	tilePx = 1600
)

// tile is reflectance, stored as its square root in 8 bits, with smaller and
// smaller copies for the distance.
type tile struct{ levels [][]uint8 }

// tiles are the floor's coverings; the rarer two are painted when first asked for.
type tiles struct {
	litter, grass *tile
	soil, mulch   func() *tile
}

// newTiles paints both, the same for the same seed.
func newTiles(seed uint64) *tiles {
	return &tiles{paintLitter(NewRand(seed, 11)), paintGrass(NewRand(seed, 12)),
		sync.OnceValue(func() *tile { return paintSoil(NewRand(seed, 13)) }),
		sync.OnceValue(func() *tile { return paintMulch(NewRand(seed, 14)) })}
}

// at returns reflectance at a place, straight-line between texels, for a look that covers footprintM.
func (t *tile) at(x, y, footprintM float64) RGB {
	level := 0
	if r := footprintM * tilePx / tileM; r > 1 {
		level = min(int(math.Log2(r)+0.5), len(t.levels)-1)
	}
	n := tilePx >> level
	u, v := x/tileM*float64(n)-0.5, y/tileM*float64(n)-0.5
	fu, fv := math.Floor(u), math.Floor(v)
	i0, j0 := wrap(int(fu), n), wrap(int(fv), n)
	i1, j1 := wrap(i0+1, n), wrap(j0+1, n)
	px := t.levels[level]
	a, b := px[3*(j0*n+i0):], px[3*(j0*n+i1):]
	c, d := px[3*(j1*n+i0):], px[3*(j1*n+i1):]
	tu, tv := float32(u-fu), float32(v-fv)
	var out RGB
	for k := range out {
		top := float32(a[k])*(1-tu) + float32(b[k])*tu
		low := float32(c[k])*(1-tu) + float32(d[k])*tu
		root := (top*(1-tv) + low*tv) / 255
		out[k] = root * root
	}
	return out
}

func wrap(i, n int) int { return ((i % n) + n) % n }

// floorReflectance is the ground's, texture and slow patches together.
func (s *Stand) floorReflectance(t *tiles, x, y, footprintM float64) RGB {
	slow, grassy := s.cover.at(x, y)
	out := RGB{}
	if grassy < 1 {
		base := t.litter
		switch s.Floor {
		case Soil:
			base = t.soil()
		case Mulch:
			base = t.mulch()
		}
		out = base.at(x, y, footprintM)
	}
	if grassy > 0 {
		out = out.mix(t.grass.at(x, y, footprintM), grassy)
	}
	if s.Tint != (RGB{}) {
		out = out.mul(s.Tint)
	}
	return out.scale(slow)
}

// cover is a grid of the floor's slow changes: brightness and share of grass.
type cover struct {
	grid
	slow, grassy []float32
}

// coverCellM is the grid's step: well under the noise's shortest wave.
const coverCellM = 0.08

// newCover lays the changes out over a stand and its margin.
func (s *Stand) newCover() cover {
	c := cover{grid: newGrid(s.low, s.high, coverCellM)}
	c.slow, c.grassy = make([]float32, c.nx*c.ny), make([]float32, c.nx*c.ny)
	for j := range c.ny {
		for i := range c.nx {
			x, y := c.place(i, j)
			broad, fine := valueNoise(s.seed, x/1.9, y/1.9), valueNoise(s.seed+1, x/0.55, y/0.55)
			wet := 1 - (1-wetShare)*patch(s.seed+20, x, y, 1.4, s.Wet)
			c.slow[j*c.nx+i] = float32(wet * (0.75 + 0.5*(0.6*broad+0.4*fine)))
			c.grassy[j*c.nx+i] = float32(s.grassShare(x, y))
		}
	}
	return c
}

// grassShare is how much of the ground at a place is grass.
func (s *Stand) grassShare(x, y float64) float64 {
	switch s.Floor {
	case Litter, Soil, Mulch:
		return patch(s.seed+30, x, y, 0.5, s.Weeds)
	case Grass:
		return 1
	}
	edge := 0.8 * (valueNoise(s.seed+2, x/0.7, y/0.7) - 0.5)
	const litterHalfM, fadeM = 2.2, 0.5 // half the strip of litter along a row
	return smooth((s.rowDistance(x, y)+edge-litterHalfM)/fadeM + 0.5)
}

// at reads both; beyond the grid the rim goes on.
func (c *cover) at(x, y float64) (slow, grassy float64) {
	i, j, tu, tv := c.find(x, y)
	return c.blend(c.slow, i, j, tu, tv), c.blend(c.grassy, i, j, tu, tv)
}

// rowDistance is how far a place lies from the nearest row's line.
func (s *Stand) rowDistance(x, y float64) float64 {
	best := math.Inf(1)
	for _, r := range s.rows {
		best = math.Min(best, math.Abs((x-r.at.X)*r.across.X+(y-r.at.Y)*r.across.Y))
	}
	return best
}

// String is the floor's name in truth files.
func (f Floor) String() string {
	return [...]string{"litter", "grass", "orchard", "soil", "mulch"}[f]
}
