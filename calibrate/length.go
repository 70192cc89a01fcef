package calibrate

import "math"

// Length is metres with one standard deviation.
type Length struct{ M, SDM float64 }

// normal95 is the 97.5 % point of the normal distribution.
const normal95 = 1.959964

// Interval95 returns the ends of the 95 % interval, normal theory.
func (l Length) Interval95() (low, high float64) {
	return l.M - normal95*l.SDM, l.M + normal95*l.SDM
}

// Plus returns the length with an independent error added in quadrature.
func (l Length) Plus(sdM float64) Length { return Length{l.M, math.Hypot(l.SDM, sdM)} }

// Propagate carries the pose's covariance (corner noise, focal prior, board
// scale) through fn, a length in metres computed from a pose, to first order by
// central differences. Where a mirrored pose is possible its spread is added as
// between-model variance. fn returns NaN where the length does not exist.
func (b *BoardPose) Propagate(fn func(*BoardPose) float64) Length {
	value := fn(b)
	grad := b.gradient(fn)
	var v float64
	for i := range paramCount {
		for j := range paramCount {
			v += grad[i] * b.Cov[i][j] * grad[j]
		}
	}
	if b.Camera.Spread != nil {
		v += b.Camera.Spread.variance(b, fn)
	}
	v += b.mirrorVariance(fn)
	return Length{value, math.Sqrt(math.Max(v, 0))}
}
