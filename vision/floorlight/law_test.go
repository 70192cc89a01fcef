package floorlight

import (
	"math"
	"testing"
)

// Counts that keep the law are found again, whatever of the floor is full shade and sun.
func TestLawFindsItself(t *testing.T) {
	l := newLaw()
	for _, full := range [][2]float64{{0.9, 0.04}, {0.5, 0.1}, {0.3, 0.3}, {0.05, 0.85}, {0.4, 0.01}} {
		counts := [parts]float64{full[0], full[1]}
		for k, v := range l.shape(full[0], full[1]) {
			counts[2+k] = (1 - full[0] - full[1]) * v
		}
		got, sum := l.fit(counts), 0.0
		for k, v := range got {
			sum += v
			if math.Abs(v-counts[k]) > 0.02*counts[k]+2*leastPart {
				t.Errorf("%v: part %d is %.4f, want %.4f", full, k, v, counts[k])
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("%v: parts add up to %g", full, sum)
		}
	}
}

// Rims crowd near full shade and near full sun: the density of each tooth's stretch falls
// from the dark end and rises again to the lit one where much is full.
func TestLawHasTwoEnds(t *testing.T) {
	l := newLaw()
	shape := l.shape(0.4, 0.4)
	first, middle, last := shape[0]/l.width[0], shape[4]/l.width[4], shape[penumbraTeeth-1]/l.width[penumbraTeeth-1]
	if !(first > 2*middle && last > middle) {
		t.Errorf("densities %.3f, %.3f, %.3f", first, middle, last)
	}
}
