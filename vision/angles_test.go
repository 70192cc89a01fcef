package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Votes against the arc tangent itself, points close by the bins' edges and at the place too.
func TestAngleVotes(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 8))
	const bins = 72
	m := &Marked{}
	add := func(x, y float64) {
		m.X, m.Y, m.Mark = append(m.X, x), append(m.Y, y), append(m.Mark, rnd.IntN(2) == 0)
	}
	for range 4000 {
		add(rnd.NormFloat64()*100, rnd.NormFloat64()*100)
	}
	for k := range bins {
		for _, off := range []float64{-1e-9, 1e-9} { // far under the short series' error
			sin, cos := math.Sincos(2*math.Pi*float64(k)/bins + off)
			add(3+50*cos, -4+50*sin)
		}
	}
	add(3, -4)
	var all, marked, wantAll, wantMarked [bins]int32
	m.AngleVotes(3, -4, 100, 1e4, all[:], marked[:])
	for i := range m.X {
		dx, dy := m.X[i]-3, m.Y[i]+4
		if r := dx*dx + dy*dy; r < 100 || r > 1e4 {
			continue
		}
		b := min(int((math.Atan2(dy, dx)/(2*math.Pi)+0.5)*bins), bins-1)
		wantAll[b]++
		if m.Mark[i] {
			wantMarked[b]++
		}
	}
	if all != wantAll || marked != wantMarked {
		t.Errorf("votes %v, want %v", all, wantAll)
	}
}
