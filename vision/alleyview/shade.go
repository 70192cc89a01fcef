package alleyview

import "sort"

// addShadedFloor adds to the floor's colours those that are not in its seed
// (litter under the trees, shade): canopy has about the same colours under the
// level line as over it, so what lies under the line in excess of the canopy's
// colours is floor. It returns how much was added.
//
// With low = floor + s canopy, s is taken at the canopy's commonest colours as if
// no floor had them: too much, so that less is added to the floor rather than more.
func addShadedFloor(floor, canopy, low []float64) float64 {
	s := medianRatio(low, canopy)
	var added float64
	for c := range floor {
		if more := low[c] - s*canopy[c]; more > 0 {
			floor[c] += more
			added += more
		}
	}
	return added
}

// medianRatio is the median of a over b, weighted by b.
func medianRatio(a, b []float64) float64 {
	var at []int
	var sum float64
	for c := range b {
		if b[c] > 0 {
			at = append(at, c)
			sum += b[c]
		}
	}
	sort.Slice(at, func(i, j int) bool { return a[at[i]]*b[at[j]] < a[at[j]]*b[at[i]] })
	var seen float64
	for _, c := range at {
		if seen += b[c]; seen >= sum/2 {
			return a[c] / b[c]
		}
	}
	return 0
}
