package alleyview

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

// footDark keeps noise in the dark from ruling the colours: an 8-bit step or two
// at the low end of the tone curve.
const footDark = 4e-3

// rows returns the sums along the rows from first on. Few rows above the horizon are
// ever asked for, so that those under it are summed first.
func (v *View) rows(first int) *vision.RowSums {
	switch {
	case v.plate == nil && first >= v.firstRow:
		v.plate = vision.NewRowSums(v.lin, footDark, v.firstRow)
	case v.plate == nil || first < v.plate.Top:
		v.plate = vision.NewRowSums(v.lin, footDark, 0)
	}
	return v.plate
}

// footForm says how a trunk's foot is looked for. Of its rows, those next to each other
// share leaves and grain. What lies beside it is clear of the round bark's dim rim.
// Differences under the last two are grain, bark's own pattern or uneven floor: light
// varies, colour hardly.
func footForm() vision.StripForm {
	return vision.StripForm{Rows: 8, Half: 0.32, Beside: 0.95, BesideHalf: 0.25, LightSD: 0.12, ColourSD: 0.04}
}

// FootScores tells how plainly a trunk seems to stand on the floor at each of the
// places: the pixels of its middle line at the ground and a little above, and the widths
// it may have, of which the best counts. The strip between must differ, all the way up,
// from what lies to its left and to its right, and from the floor just before the foot;
// the score is the weakest of the three differences, in standard errors of the mean of
// the strip's rows. Grain gives about 1; 0 is given where no strip lies in the photo.
// Scores up to least are of no use and may come out as 0.
func (v *View) FootScores(places []vision.Strip, least float64) []float64 {
	first, perPx := v.H, 1/float64(v.Factor)
	for _, p := range places {
		if y := (p.Top.Y + 0.5) * perPx; y >= 0 && y < float64(first) {
			first = int(y)
		}
	}
	out := make([]float64, len(places))
	for i, scores := range v.rows(first).Scores(places, perPx, footForm(), least) {
		for { // the plainest first, until none left can be the best
			k := 0
			for j, s := range scores {
				if s > scores[k] {
					k = j
				}
			}
			if scores[k] <= math.Max(least, out[i]) {
				break
			}
			out[i] = math.Max(out[i], scores[k]*v.bareShare(places[i], places[i].Widths[k]))
			scores[k] = -1
		}
	}
	return out
}

// leafOdds is the mean ln(canopy : floor) of a strip at which it is a hanging
// twig and no trunk; bark has the colours of neither and lies about 0 or under.
const leafOdds = 2.0

// bareShare is how little a strip looks like leaves, 0..1, by colour; 0 where a
// board stands in it or beside it.
func (v *View) bareShare(p vision.Strip, widthPx float64) float64 {
	var sum, n float64
	form := footForm()
	for k := range form.Rows {
		t := (float64(k) + 0.5) / float64(form.Rows)
		for _, d := range [5]float64{-form.Beside, -form.Half, 0, form.Half, form.Beside} {
			x, y, ok := v.place(calibrate.Pixel{X: p.Foot.X + t*(p.Top.X-p.Foot.X) + d*widthPx, Y: p.Foot.Y + t*(p.Top.Y-p.Foot.Y)})
			if !ok || v.zones[y*v.W+x] == sheet {
				return 0
			}
			if math.Abs(d) <= form.Half {
				sum += float64(v.odds(x, y))
				n++
			}
		}
	}
	return math.Max(0, math.Min(1, 1-sum/n/leafOdds))
}

// OpenShare is the share of a straight line between two pixels that shows open
// floor (or a board); the part outside the photo does not count.
func (v *View) OpenShare(from, to calibrate.Pixel) float64 {
	const steps = 40
	open, n := 0.0, 0.0
	for k := range steps {
		t := (float64(k) + 0.5) / steps
		c, ok := v.AtPhoto(calibrate.Pixel{X: from.X + t*(to.X-from.X), Y: from.Y + t*(to.Y-from.Y)})
		if !ok {
			continue
		}
		n++
		if c == Floor || c == Board {
			open++
		}
	}
	if n == 0 {
		return 0
	}
	return open / n
}
