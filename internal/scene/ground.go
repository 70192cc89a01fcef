package scene

import "math"

// Ground is what trees stand on: its cover, its colour and its slope.
type Ground struct {
	Floor Floor
	// Tint is laid over the cover's reflectance; the zero value leaves it alone.
	Tint RGB
	// Wet is the share of the ground that is dark with water, in patches; Weeds
	// the share under green tufts.
	Wet, Weeds float64
	// SlopeEast and SlopeNorth are how much the ground rises a metre that way.
	SlopeEast, SlopeNorth float64
}

// HeightM returns the ground's height at a place.
func (g *Ground) HeightM(x, y float64) float64 { return g.SlopeEast*x + g.SlopeNorth*y }

// On returns a place moved up or down onto the ground.
func (g *Ground) On(p Vec3) Vec3 { p.Z = g.HeightM(p.X, p.Y); return p }

// rise is how fast a direction climbs away from the ground.
func (g *Ground) rise(d Vec3) float64 { return d.Z - g.HeightM(d.X, d.Y) }

// normal is the unit vector square to the ground, up.
func (g *Ground) normal() Vec3 { return Vec3{-g.SlopeEast, -g.SlopeNorth, 1}.Unit() }

// along returns where the line from p against the direction d meets the ground.
func (g *Ground) along(p, d Vec3) (x, y float64) {
	t := g.rise(p) / g.rise(d)
	return p.X - t*d.X, p.Y - t*d.Y
}

// Wet soil and litter reflect about half of what they do dry (from memory).
const wetShare = 0.5

// patch is 1 in patches that cover a share of the ground, soft at their rims.
func patch(seed uint64, x, y, sizeM, share float64) float64 {
	if share <= 0 {
		return 0
	}
	n := 0.7*valueNoise(seed, x/sizeM, y/sizeM) + 0.3*valueNoise(seed+1, 2.7*x/sizeM, 2.7*y/sizeM)
	// The noise is about normal, mean 0.5, standard deviation 0.17.
	edge := 0.5 + 0.17*math.Sqrt2*math.Erfinv(1-2*min(0.98, share))
	return smooth((n-edge)/0.08 + 0.5)
}
