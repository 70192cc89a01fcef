package pipeline

import (
	"math"

	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/alleyview"
)

const (
	// Feet of trunks are looked for out to here, to each side and ahead.
	footFarAsideM, footFarAheadM   = 5.0, 18.0
	footNearAsideM, footNearAheadM = 0.6, 2.4
	footStepM, footStepAheadRel    = 0.05, 0.025
	// How much of a trunk shows under the skirt, as looked for, and the width that
	// the floor beside it must leave clear.
	trunkShowsM, trunkClearM = 0.30, 0.15
	// footGrain is the score that grain, litter and edges of shade reach; footLeast
	// above it is kept, footPlain above it makes a plain trunk. Chosen on six scratch
	// scenes of the second renderer whose trunks are known.
	footGrain, footLeast, footPlain = 1.8, 0.3, 1.6
	// footOpen is the least share of open floor between a foot and the alley's
	// middle: the rest is fallen twigs and wrongly classed pixels.
	footOpen = 0.85
	// Two feet of one row are farther apart than this.
	footApartAsideM, footApartAheadRel = 0.30, 0.12
)

// trunkWidthsM are the trunks looked for, from a young tree's to an old one's.
func trunkWidthsM() [4]float64 { return [4]float64{0.09, 0.15, 0.24, 0.36} }

// feet looks for the feet of trunks over the ground to both sides.
func (c *alleyScene) feet(v *alleyview.View) []metrics.AlleyFoot {
	var at []metrics.AlleyFoot
	var places []vision.Strip
	w, h := float64(v.W*v.Factor), float64(v.H*v.Factor)
	for y := footNearAheadM; y < footFarAheadM; y *= 1 + footStepAheadRel {
		var widthsPx [4]float64
		for i, w := range trunkWidthsM() {
			widthsPx[i] = w / y * c.pose.Camera.FPx
		}
		for x := footNearAsideM; x < footFarAsideM; x += footStepM {
			for _, right := range [2]float64{-x, x} {
				foot, ok := c.pixel(right, y, 0)
				if !ok || foot.X < -1 || foot.Y < -1 || foot.X > w || foot.Y > h {
					continue // what lies before a foot must show
				}
				if top, ok := c.pixel(right, y, trunkShowsM); ok {
					at = append(at, metrics.AlleyFoot{RightM: right, AheadM: y})
					places = append(places, vision.Strip{Foot: foot, Top: top, Widths: widthsPx})
				}
			}
		}
	}
	var found []metrics.AlleyFoot
	for i, score := range v.FootScores(places, footGrain+footLeast) {
		if over := score - footGrain; over > footLeast && c.openBefore(v, at[i]) {
			at[i].Score = over / footPlain
			found = append(found, at[i])
		}
	}
	return bestFeet(found)
}

// openBefore tells whether the floor before a foot is open all the way from the alley's
// middle: only a foot of the alley's own rows has that.
func (c *alleyScene) openBefore(v *alleyview.View, f metrics.AlleyFoot) bool {
	middle, ok1 := c.pixel(c.boardXM, f.AheadM, 0)
	beside, ok2 := c.pixel(f.RightM-math.Copysign(trunkClearM, f.RightM), f.AheadM, 0)
	return ok1 && ok2 && v.OpenShare(middle, beside) >= footOpen
}

// bestFeet keeps of each cluster the one with the highest score.
func bestFeet(found []metrics.AlleyFoot) []metrics.AlleyFoot {
	var out []metrics.AlleyFoot
	for i, f := range found {
		best := true
		for j, g := range found {
			near := math.Abs(f.RightM-g.RightM) < footApartAsideM && math.Abs(f.AheadM-g.AheadM) < footApartAheadRel*f.AheadM
			if near && (g.Score > f.Score || g.Score == f.Score && j < i) {
				best = false
				break
			}
		}
		if best {
			out = append(out, f)
		}
	}
	return out
}
