package vision

import "sort"

const (
	// Sun and shade under a clear sky differ 5 to 20 times under a canopy (trade
	// practice); mean light this far apart (ln) is no mere change of litter.
	// Overcast floors reach 0.4 on the practice scenes and 0.95 on the second renderer's
	// (grass beside litter), sunny ones 1.45 and more.
	sunLeastGap = 1.0
	// sunLeastSplit is the least share of the variance that the two classes explain;
	// one even floor gives 0.64 (the half-normal split, 2/pi).
	sunLeastSplit = 0.67
	// sunLeastShare is the least share of either class.
	sunLeastShare = 0.04
)

// SunCut finds the ln of light that parts ground in the sun from ground in shade
// (Otsu 1979); ok is false where the light is of one kind.
func SunCut(ln []float64) (cut float64, ok bool) {
	s := append([]float64(nil), ln...)
	sort.Float64s(s)
	var sum, sq float64
	for _, v := range s {
		sum += v
		sq += v * v
	}
	n := float64(len(s))
	total := sq/n - sum*sum/(n*n)
	var low, best, gap float64
	for i := 0; i+1 < len(s); i++ {
		low += s[i]
		k := float64(i + 1)
		if k < sunLeastShare*n || n-k < sunLeastShare*n {
			continue
		}
		d := (sum-low)/(n-k) - low/k
		if b := k / n * (1 - k/n) * d * d; b > best {
			best, gap, cut = b, d, (s[i]+s[i+1])/2
		}
	}
	return cut, gap >= sunLeastGap && best >= sunLeastSplit*total
}
