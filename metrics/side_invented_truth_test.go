package metrics

import (
	"math"
	"math/rand"
	"testing"
)

// The height's and the width's 95 % intervals, from the parts they are made of,
// must hold the truth of crowns nobody tuned on: seeds from 1000 on (the share of
// the depth in side_depth.go was chosen on seeds 0 to 149). 90 % is the issue's
// bound; of 40 crowns 90 % +- 2 binomial standard errors of 4.7 % are at least 32.
func TestIntervalsHoldInventedCrowns(t *testing.T) {
	if testing.Short() {
		t.Skip("draws and measures 40 crowns")
	}
	const crowns, least = 40, 32
	height, width := 0, 0
	var bias, abs float64
	for s := range int64(crowns) {
		r := rand.New(rand.NewSource(1000 + s))
		v := invent(r)
		tree, err := FindSideTree(v.plane(r))
		if err != nil {
			t.Errorf("seed %d: %v", 1000+s, err)
			continue
		}
		h, w := tree.Height(), tree.Width()
		if math.Abs(h.M-v.heightM()) <= Z95*h.SDM {
			height++
		}
		if math.Abs(w.M-v.widthM()) <= Z95*w.SDM {
			width++
		}
		e := h.M/v.heightM() - 1
		bias, abs = bias+e/crowns, abs+math.Abs(e)/crowns
	}
	t.Logf("height inside %d, width %d of %d; height off by %.1f %% in the mean, bias %+.1f %%", height, width, crowns, 100*abs, 100*bias)
	if height < least || width < least {
		t.Errorf("height inside in %d, width in %d of %d; %d wanted", height, width, crowns, least)
	}
}
