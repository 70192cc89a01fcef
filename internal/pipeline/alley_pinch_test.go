package pipeline

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// A place is a number only where one tree can be found by it; else the words name the
// stretch to walk, in the ground's metres.
func TestPinchIsNamedOnlyWhereOneTreeCanBeFoundByIt(t *testing.T) {
	for _, c := range []struct {
		low, value, high float64
		words            string
	}{
		{5.1, 6.0, 7.2, ""},
		{3.1, 4.6, 10.9, "from 3 to 12 m ahead"}, // 10.9 m of a print 2 % too large are 11.1
	} {
		r := alleyResult{scale: 1.02}
		r.addPinch(metrics.Estimate{Value: c.value, Low95: c.low, High95: c.high}, PairMethod)
		m := r.out.Measurements[0]
		if m.Quantity != orchard.NarrowestAtM || (m.Value == nil) != (c.words != "") || !strings.Contains(m.Absent, c.words) {
			t.Errorf("%.1f (%.1f to %.1f): %+v", c.value, c.low, c.high, m)
		}
	}
}
