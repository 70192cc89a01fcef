package floorlight

import "math"

// parts are full shade, full sun and the penumbra's teeth.
const parts = 2 + penumbraTeeth

const (
	// How the sun's visible share is spread over a floor: some of it in full shade, some in
	// full sun, and the penumbra between them like f^(dark-1) (1-f)^(lit-1). Both powers
	// follow from how much is full: where hardly any shade is full, its rims are wide, and
	// full sun's likewise. Fitted to the true light of 75 drawn floors (wide sets 11001 to
	// 11004, no photo read), on which dark lies 0.09 off its line in the mean and lit 0.12;
	// floors of the other renderer keep to the same lines.
	darkPower, darkFall = 0.79, 0.71 // by full shade's part of all that is not full sun
	litPower, litFall   = 1.02, 0.58 // by full sun's part of all that is not full shade
	leastDark, leastLit = 0.15, 0.20
	// penumbraLow to penumbraHigh is penumbra; what lies beyond is as good as full.
	penumbraLow, penumbraHigh = 0.015, 0.97
	// lawPlaces within each tooth's stretch stand for it.
	lawPlaces = 3
	// leastPart keeps a part from vanishing for good.
	leastPart = 1e-4
)

// law knows how penumbra is spread for given parts of full shade and sun.
type law struct {
	dark, lit [penumbraTeeth][lawPlaces]float64 // ln f and ln(1-f)
	width     [penumbraTeeth]float64
}

func newLaw() *law {
	l := &law{}
	at := penumbraFractions()
	for k := range at {
		low, high := penumbraLow, penumbraHigh
		if k > 0 {
			low = (at[k-1] + at[k]) / 2
		}
		if k+1 < penumbraTeeth {
			high = (at[k] + at[k+1]) / 2
		}
		l.width[k] = (high - low) / lawPlaces
		for j := range lawPlaces {
			f := low + (float64(j)+0.5)*l.width[k]
			l.dark[k][j], l.lit[k][j] = math.Log(f), math.Log(1-f)
		}
	}
	return l
}

// shape is each tooth's part of the penumbra where so much of the floor is in full shade
// and in full sun.
func (l *law) shape(shade, sun float64) (shape [penumbraTeeth]float64) {
	dark := math.Max(leastDark, darkPower-darkFall*shade/(1-sun))
	lit := math.Max(leastLit, litPower-litFall*sun/(1-shade))
	sum := 0.0
	for k := range shape {
		for j := range lawPlaces {
			shape[k] += l.width[k] * math.Exp((dark-1)*l.dark[k][j]+(lit-1)*l.lit[k][j])
		}
		sum += shape[k]
	}
	for k := range shape {
		shape[k] /= sum
	}
	return shape
}

// fit returns the likeliest parts that keep the law, where counts were found: a search
// uphill from the counts' own parts of full shade and sun, in smaller and smaller steps.
func (l *law) fit(counts [parts]float64) [parts]float64 {
	for k := range 2 {
		counts[k] += leastPart
	}
	all := 0.0
	for _, v := range counts {
		all += v
	}
	shade, sun := counts[0]/all, counts[1]/all
	best := l.likelihood(counts, shade, sun)
	for _, step := range [...]float64{1.3, 1.15, 1.07} {
		for moved := true; moved; {
			moved = false
			for _, by := range [...][2]float64{{step, 1}, {1 / step, 1}, {1, step}, {1, 1 / step}} {
				a, b := shade*by[0], sun*by[1]
				if min(a, b, 1-a-b) < leastPart {
					continue
				}
				if q := l.likelihood(counts, a, b); q > best {
					best, shade, sun, moved = q, a, b, true
				}
			}
		}
	}
	out := [parts]float64{shade, sun}
	for k, v := range l.shape(shade, sun) {
		out[2+k] = (1 - shade - sun) * v
	}
	return out
}

// likelihood is the logarithm of how likely counts are.
func (l *law) likelihood(counts [parts]float64, shade, sun float64) float64 {
	sum := counts[0]*math.Log(shade) + counts[1]*math.Log(sun)
	for k, v := range l.shape(shade, sun) {
		sum += counts[2+k] * math.Log((1-shade-sun)*v)
	}
	return sum
}
