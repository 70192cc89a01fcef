package metrics

import "sort"

// ofDraws is the median of random draws and the interval that holds 95 % of them.
func ofDraws(v []float64) Estimate {
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	at := func(q float64) float64 { return s[int(q*float64(len(s)-1)+0.5)] }
	return Estimate{Value: at(0.5), Low95: at(0.025), High95: at(0.975)}
}
