package calibrate

import "math"

// leastPivot: where a pivot falls to so little of its own diagonal, nothing fixes the unknown.
const leastPivot = 1e-15

// SolveNormal solves the normal equations a x = b of n unknowns by Cholesky's way: a few
// unknowns, many times over, cost more in a matrix library's care than in sums. a holds rows
// of n numbers, of which the lower half counts, and b the right side; a is used up and b
// takes x. ok is false where the equations fix nothing along an unknown; b is then as it was.
func SolveNormal(a, b []float64) (ok bool) {
	n := len(b)
	for r := range n {
		row := a[r*n:][:n]
		diagonal := row[r]
		for c := range r + 1 {
			v, other := row[c], a[c*n:][:n]
			for k := range c {
				v -= row[k] * other[k]
			}
			if c < r {
				row[c] = v / other[c]
				continue
			}
			if !(v > leastPivot*diagonal) {
				return false
			}
			row[r] = math.Sqrt(v)
		}
	}
	for r := range n {
		row := a[r*n:][:n]
		for k := range r {
			b[r] -= row[k] * b[k]
		}
		b[r] /= row[r]
	}
	for r := n - 1; r >= 0; r-- {
		for k := r + 1; k < n; k++ {
			b[r] -= a[k*n+r] * b[k]
		}
		b[r] /= a[r*n+r]
	}
	return true
}
