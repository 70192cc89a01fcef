package floorlight

import (
	"math"
	"sort"
)

const (
	// The print, as the log of white over dark: black ink is 1/19 of paper, give or
	// take a quarter (prints measured by others are 1/15 to 1/25, from memory). The
	// grey patch, sRGB 118, is 0.18 of white as printed, 0.21 where the paper is
	// not quite white: 1.71 and 1.55.
	inkLog, inkSD   = 2.95, 0.25
	greyLog, greySD = 1.63, 0.10
	// toneMean and toneSD: cameras' curves, from none to a full S.
	toneMean, toneSD = 0.5, 0.35
	toneMost         = 1.0 // beyond it the curve would fall at its ends
	toneStep         = 0.05
	// pairSD is how far light and print differ over the 14 mm of a pair, as a log;
	// codeNoise is a mean's error in codes.
	pairSD, codeNoise = 0.06, 0.7
	// pairsWeigh: the pairs of one board err together; however many, they weigh as
	// this many.
	pairsWeigh = 12.0
)

// fitTone finds the curve under which the print's ratios are the same in every
// light on the board, and near what print is: its mean over the posterior, and
// the spread.
func fitTone(pairs []pairCodes) (k toneCurve, sd float64) {
	var costs, ks []float64
	best, table := math.Inf(1), newSTable()
	for t := 0.0; t < toneMost+toneStep/2; t += toneStep {
		c := toneCost(toneCurve(t), table, pairs)
		costs, ks = append(costs, c), append(ks, t)
		best = math.Min(best, c)
	}
	var sum, first, second float64
	for i, c := range costs {
		w := math.Exp(-(c - best) / 2)
		sum, first, second = sum+w, first+w*ks[i], second+w*ks[i]*ks[i]
	}
	mean := first / sum
	return toneCurve(mean), math.Sqrt(math.Max(second/sum-mean*mean, 0))
}

// toneCost is minus twice the log of how likely a curve is, but for a constant.
func toneCost(k toneCurve, table *sTable, pairs []pairCodes) float64 {
	z := (float64(k) - toneMean) / toneSD
	lut := k.lightBy(table)
	var ink, grey ratioFit
	for _, q := range pairs {
		ws, ds := logError(&lut, q.white), logError(&lut, q.dark)
		into := &ink
		if q.grey {
			into = &grey
		}
		into.logs = append(into.logs, math.Log(lightAt(&lut, q.white)/lightAt(&lut, q.dark)))
		into.sds = append(into.sds, math.Sqrt(pairSD*pairSD+ws*ws+ds*ds))
	}
	return z*z + ink.cost(inkLog, inkSD) + grey.cost(greyLog, greySD)
}

// ratioFit is one ratio of the print as many pairs show it.
type ratioFit struct{ logs, sds []float64 }

// cost is that of the pairs (Cauchy-like: a sun patch's edge between two places
// must not count) and of the print's prior, with the ratio where the sum is least
// between the pairs' median and the prior's mean.
func (r *ratioFit) cost(mean, sd float64) float64 {
	if len(r.logs) == 0 {
		return 0
	}
	const steps = 10
	sorted := append([]float64(nil), r.logs...)
	sort.Float64s(sorted)
	median := sorted[len(sorted)/2]
	scale := math.Min(1, pairsWeigh/float64(len(r.logs)))
	best := math.Inf(1)
	for i := range steps + 1 {
		at := median + float64(i)/steps*(mean-median)
		z := (at - mean) / sd
		best = math.Min(best, z*z+scale*2*r.offLog(at))
	}
	return best
}

// offLog is the sum over the pairs of ln(1 + d^2/2), d how many spreads each lies off a
// ratio: the logarithm of the product, taken before that outgrows a float.
func (r *ratioFit) offLog(at float64) float64 {
	const large = 1e150
	sum, product := 0.0, 1.0
	for k, l := range r.logs {
		d := (l - at) / r.sds[k]
		product *= 1 + d*d/2
		if product > large {
			sum, product = sum+math.Log(product), 1
		}
	}
	return sum + math.Log(product)
}

// lightAt is a mean code's light, over that of black.
func lightAt(lut *[256]float32, code float64) float64 {
	const black = 1e-6 // keeps its log finite
	code = math.Max(0, math.Min(255, code))
	i := min(int(code), 254)
	t := code - float64(i)
	return float64(lut[i])*(1-t) + float64(lut[i+1])*t + black
}

// logError is the error of the log of a mean code's light.
func logError(lut *[256]float32, code float64) float64 {
	return math.Log(lightAt(lut, code+codeNoise)/lightAt(lut, code-codeNoise)) / 2
}
