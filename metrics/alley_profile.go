package metrics

import (
	"math"

	"rowlight/calibrate"
)

// AlleyWidth is the clear width at a distance ahead of the camera.
type AlleyWidth struct {
	AheadM float64
	Width  Estimate
}

const (
	// The stretch of alley that one photo can say anything of: nearer trees are
	// beside the photo, farther ones hide each other.
	profileNearM, profileFarM = 3.0, 12.0
	narrowStepM               = 0.25
	// narrowPlaces is how many places in that stretch are independent, a leaf
	// cluster (0.5 m) each; the least of so many normal values lies expectedLeast
	// standard deviations under their mean, give or take leastSpread (order
	// statistics of 18 normal values, Harter 1961, Biometrika 48:151, from memory).
	expectedLeast, leastSpread = 1.82, 0.5
)

// Profile is the clear width over each metre from 3 to 12 m ahead, at its
// middle. Empty of nothing: where little is seen the interval is wide.
func (a *Alley) Profile() []AlleyWidth {
	var out []AlleyWidth
	for y := profileNearM; y < profileFarM; y++ {
		mid := y + 0.5
		out = append(out, AlleyWidth{mid, a.clear(mid, 0.5)})
	}
	return out
}

// Narrowest is the least clear width from 3 to 12 m ahead and where it is: the
// model's least, less what the scatter of single places takes off the least of
// many. Both intervals follow from all places that may be the narrowest.
func (a *Alley) Narrowest() (width, aheadM Estimate) {
	var all []AlleyWidth
	for y := profileNearM; y <= profileFarM; y += narrowStepM {
		all = append(all, AlleyWidth{y, a.clear(y, narrowStepM/2)})
	}
	at, best := all[0].AheadM, all[0].Width
	for _, w := range all {
		if w.Width.Value < best.Value {
			at, best = w.AheadM, w.Width
		}
	}
	least := best.Value
	scatter := math.Sqrt2 * faceLocalSDM
	m := least - expectedLeast*scatter
	sd := math.Hypot(best.SD(), leastSpread*scatter)
	width = Estimate{Value: math.Max(0, m), Low95: math.Max(0, m-Z95*sd), High95: m + Z95*sd}
	width.Parts = calibrate.Joined(best.Parts, []calibrate.Part{{Name: PartSampling, SD: leastSpread * scatter}})
	return width, a.narrowPlace(all, at, least)
}

// narrowPlace is where the narrowest place may lie: every place whose width may
// be the least, given the trees' own errors and the scatter.
func (a *Alley) narrowPlace(all []AlleyWidth, at, least float64) Estimate {
	e := Estimate{Value: at, Low95: at, High95: at}
	for _, w := range all {
		y := w.AheadM
		_, l := a.rows[0].lineAt(y, a.SpacingM)
		_, r := a.rows[1].lineAt(y, a.SpacingM)
		sd := math.Sqrt(2 * (l*l + r*r + 2*faceLocalSDM*faceLocalSDM))
		if w.Width.Value-least < Z95*sd {
			e.Low95, e.High95 = math.Min(e.Low95, y), math.Max(e.High95, y)
		}
	}
	return e
}
