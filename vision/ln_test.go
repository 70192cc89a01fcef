package vision

import (
	"math"
	"testing"
)

// Against the library's logarithm, over all the light there is in a picture and
// beyond.
func TestLn(t *testing.T) {
	ln := NewLn()
	for x := 1e-9; x < 1e6; x *= 1.00037 {
		if got, want := ln.Of(x), math.Log(x); math.Abs(got-want) > 2e-15*math.Max(1, math.Abs(want)) {
			t.Fatalf("ln %g: %.17g, want %.17g", x, got, want)
		}
	}
}

func BenchmarkLn(b *testing.B) {
	ln, sum := NewLn(), 0.0
	b.Run("Ln", func(b *testing.B) {
		for i := range b.N {
			sum += ln.Of(float64(i&1023)/1024 + 1e-4)
		}
	})
	b.Run("math", func(b *testing.B) {
		for i := range b.N {
			sum += math.Log(float64(i&1023)/1024 + 1e-4)
		}
	})
	if math.IsNaN(sum) {
		b.Fatal("no number")
	}
}
