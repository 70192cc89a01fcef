package metrics

import "math"

// leastWidths make a profile that an area can be taken from.
const leastWidths = 2

// shareBetween is the share of the crown's outline between two heights, nil where the
// profile cannot tell. The outline is the profile's trapezoids, closed by the base and
// the top.
func (f TreeForm) shareBetween(lowM, highM float64) *float64 {
	return f.shareOf(lowM, highM, func(widthM float64) float64 { return widthM })
}

// HeightOver returns the height over which a share of the crown's outline lies; ok is
// false where the profile cannot tell.
func (f TreeForm) HeightOver(share float64) (zM float64, ok bool) {
	if !f.spans() {
		return 0, false
	}
	for z := f.HeightM.Value; z > f.CrownBaseM.Value; z -= outlineStepM {
		s := f.shareBetween(z, f.HeightM.Value)
		if s == nil {
			return 0, false
		}
		if *s >= share {
			return z, true
		}
	}
	return f.CrownBaseM.Value, true
}

// shareOver is the share of the outline that stands out over a width between two
// heights.
func (f TreeForm) shareOver(overM, lowM, highM float64) *float64 {
	return f.shareOf(lowM, highM, func(widthM float64) float64 { return math.Max(widthM-overM, 0) })
}

// outlineStepM of the sums: a tenth of the profile's own step.
const outlineStepM = 0.05

func (f TreeForm) shareOf(lowM, highM float64, part func(widthM float64) float64) *float64 {
	if !f.spans() || len(f.Widths) < leastWidths {
		return nil
	}
	base, top := f.CrownBaseM.Value, f.HeightM.Value
	var all, some float64
	for z := base + outlineStepM/2; z < top; z += outlineStepM {
		w := f.widthAt(z)
		all += w
		if z >= lowM && z <= highM {
			some += part(w)
		}
	}
	if !(all > 0) {
		return nil
	}
	share := some / all
	return &share
}

// widthAt is the width at a height: straight between the profile's places, to the
// top's point above the last, as wide as the first below it.
func (f TreeForm) widthAt(zM float64) float64 {
	ws := f.Widths
	if zM <= ws[0].AtM {
		return ws[0].WidthM
	}
	end := append(ws[:len(ws):len(ws)], WidthAt{math.Max(f.HeightM.Value, ws[len(ws)-1].AtM), 0})
	for i := 1; i < len(end); i++ {
		a, b := end[i-1], end[i]
		if zM <= b.AtM && b.AtM > a.AtM {
			return a.WidthM + (b.WidthM-a.WidthM)*(zM-a.AtM)/(b.AtM-a.AtM)
		}
	}
	return 0
}
