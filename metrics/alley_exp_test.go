package metrics

import (
	"math"
	"testing"
)

// Against the library's exponential.
func TestExpTable(t *testing.T) {
	e := newExpTable()
	for x := 0.0; x > -699; x -= 0.00731 {
		if got, want := e.of(x), math.Exp(x); math.Abs(got-want) > 1e-13*want && math.Abs(got-want) > 1e-15 {
			t.Fatalf("e^%g: %g, want %g", x, got, want)
		}
	}
	if got := e.of(-1e9); got < 0 || got > 1e-300 {
		t.Errorf("far below: %g", got)
	}
}
