package metrics

import "fmt"

// OneLight is a floor on which sun and shade do not show side by side: all of it
// in the sun, all in the shade of a clear day, or no sun at all.
type OneLight struct {
	GreySeen      bool
	GreyRedToBlue float64 // of the board's grey patch, linear light
	Contrast      float64 // between light and dark patches of a fleck's size
	// Patchy: bright and dark patches of one colour lie side by side.
	Patchy bool
	// BoardRange is how far the light on the board's white differs from place to
	// place; 1 even, 0 not known.
	BoardRange float64
	// OfClear is the light on the patch over what a clear sky and its sun give level
	// ground at that hour; 0 where exposure or hour is not known.
	OfClear float64
}

// How bright one light is tells an overcast sky, a sixth of a clear one at midday, from
// the sun, and open sun from shade. A photo's exposure tells light to about one stop:
// what is 1.3 stops under the clear sky's is not claimed for sun, what is less than 0.7
// under it is not claimed for shade, and is sun whatever its colour.
const (
	dimmestSun   = 0.4
	surelySunlit = 0.6
)

// tooDim tells whether the light is known and too weak for the sun's.
func (o OneLight) tooDim() bool { return o.OfClear > 0 && o.OfClear < dimmestSun }

// evenBoard: one light differs by no more over the board, shadow of a leaf close by
// and all; sun beside shade differs 3-fold.
const evenBoard = 1.6

// evenFloor: patches of a fleck's size on floor all in the sun differ by no more, from
// pale to dark litter: means over 50 mm spread by 0.15 as a log, and the quantiles
// that are taken lie 3.6 spreads apart. What differs more under a warm balance is not
// told from overcast by colour alone.
const evenFloor = 2.0

// What the colour of one light says. The board's patch is grey, so its colour is
// the light's. Shade of a clear day is lit by blue sky and, under a tree, by
// leaves: never warmer than the day's balance. Direct sun is warmer than the sky
// as a whole. An overcast sky is what white balance takes for neutral.
const (
	// blueShade: sky-lit shade of 8000 K and more against the 6500 K of sRGB
	// white has a red to blue ratio under 0.8.
	blueShade = 0.80
	// warmSun: direct sun with sky at 5500 to 6200 K gives 1.03 to 1.2.
	warmSun = 1.02
	// oneLightSE is the standard error of a share told by colour alone, and
	// oneLightFloor the smallest share that would have shown as a fleck.
	oneLightSE    = 0.004
	oneLightFloor = 0.01
)

// Share returns 1 or 0 with an interval, or why the photo will not do.
func (o OneLight) Share() (Estimate, error) {
	even := o.GreySeen && !o.Patchy && o.BoardRange < evenBoard
	warm, bright := o.GreyRedToBlue >= warmSun, o.OfClear >= surelySunlit
	switch {
	case even && o.GreyRedToBlue <= blueShade && !bright:
		e := FromShare(0, oneLightSE, oneLightFloor)
		e.Flags = append(e.Flags, "no sun on this floor: the board's blue light says clear-sky shade")
		return e, nil
	case even && o.Contrast < evenFloor && (warm && !o.tooDim() || bright):
		e := FromShare(1, oneLightSE, oneLightFloor)
		told := "the board's warm light alone"
		if o.OfClear > 0 {
			told = fmt.Sprintf("the light on the board, by its exposure %.0f %% of a clear sky's and sun's", 100*o.OfClear)
		}
		e.Flags = append(e.Flags, "no shade on this floor: told from "+told)
		return e, nil
	case even && warm && o.tooDim():
		return Estimate{}, &Unusable{
			Reason: fmt.Sprintf("no direct sun: by its exposure the light on the board is %.0f %% of what a clear sky and its sun give at that hour, %.0f %% is the least that counts", 100*o.OfClear, 100*dimmestSun),
			Mend:   "come back when the sun is out",
		}
	}
	return Estimate{}, &Unusable{
		Reason: fmt.Sprintf("no direct sun: light and dark patches of the floor differ %.1f-fold and are of one colour; sun differs %.1f-fold or more from shade, and is warmer", o.Contrast, contrastLeast),
		Mend:   "come back when the sun is out; if it was, take it again with a sun fleck and some shade in the picture",
	}
}

// contrastLeast is the least contrast of sun to shade that counts as direct sun;
// the same as floorlight's, with its reason.
const contrastLeast = 2.8
