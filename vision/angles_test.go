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
	var x, y []float64
	var mark []bool
	add := func(px, py float64) {
		x, y, mark = append(x, px), append(y, py), append(mark, rnd.IntN(2) == 0)
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
	m := NewMarked(x, y, mark)
	// Of those farther off than the most none votes: without them it is the same.
	for _, votes := range []*Marked{m, m.Within(10, 0, 110), m.Within(3, -4, 0)} {
		var all, marked, wantAll, wantMarked [bins]int32
		votes.AngleVotes(3, -4, 100, 1e4, all[:], marked[:])
		for i := range x {
			dx, dy := x[i]-3, y[i]+4
			if r := dx*dx + dy*dy; r < 100 || r > 1e4 || votes.Len() == 1 {
				continue
			}
			b := min(int((math.Atan2(dy, dx)/(2*math.Pi)+0.5)*bins), bins-1)
			wantAll[b]++
			if mark[i] {
				wantMarked[b]++
			}
		}
		if all != wantAll || marked != wantMarked {
			t.Errorf("votes %v, want %v", all, wantAll)
		}
	}
	if n := m.Within(10, 0, 110).Len(); n >= m.Len() || n < 1000 {
		t.Errorf("%d of %d points within 110", n, m.Len())
	}
}
