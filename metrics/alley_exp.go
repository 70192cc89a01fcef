package metrics

import "math"

const (
	// expCells parts of a power of two are laid down; what is left is under
	// ln 2 / 256, where five terms of the series leave 1e-15.
	expCells = 128
	// expLeast is under any chance that counts, and far from a double's end.
	expLeast = -700.0
	// IEEE 754 double: bits of the fraction, and the exponent of 1.
	fractionBits, exponentOfOne = 52, 1023
	// wholeBits, added and taken off again, leaves the next whole number of any up to
	// 2^51: such sums have no bits for less. It takes half of math.Floor's time.
	wholeBits = 3 << (fractionBits - 1)
)

// expTable takes e^x in a third of math.Exp's time, right to 1e-14: a fit of an
// alley asks for it a million times.
type expTable [expCells]float64

func newExpTable() *expTable {
	t := &expTable{}
	for i := range t {
		t[i] = math.Exp2(float64(i) / expCells)
	}
	return t
}

// of is e^x for x from -700 to 700; below it is that of -700.
func (t *expTable) of(x float64) float64 {
	if x < expLeast {
		x = expLeast
	}
	n := x*(expCells/math.Ln2) + wholeBits - wholeBits
	r := x - n*(math.Ln2/expCells)
	k := int(n)
	two := math.Float64frombits(uint64(k>>7+exponentOfOne) << fractionBits) // 2^7 cells
	r2 := r * r                                                             // pairs of terms, so that few wait for each other
	return two * t[k&(expCells-1)] * (1 + r + r2*(0.5+r*(1.0/6)+r2*(1.0/24+r*(1.0/120))))
}
