package pipeline

import (
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/orchard"
)

// The bounds are the for a pair: 12 cm mean at the board, 20 cm over the
// first 8 m, the truth inside the interval in 9 of 10. The matcher's penalties and
// the least patch were chosen on alleys 00 and 01, the faces' shares on 00 to 02; 03
// to 05 were looked at, nothing was set by them.
func TestPairTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("measures six pairs: minutes under the race detector, and nothing for it to find")
	}
	if _, err := os.Stat(alleyTruthDir); err != nil {
		t.Skipf("TRUTH NOT HERE: %s is missing, so the pairs' accuracy is not tested", alleyTruthDir)
	}
	board, along, check := &tally{}, &tally{}, &tally{}
	for k, stem := range []string{"practice_alley_00", "practice_alley_01", "practice_alley_02", "practice_alley_03", "practice_alley_04", "practice_alley_05"} {
		out := MeasurePair(readFile(t, stem), readFile(t, stem+"_b"), orchard.Alley, Env{Set: DefaultSettings(), NumbersOnly: true})
		if out.Status != orchard.Measured {
			t.Errorf("%s: %s: %s", stem, out.Status, out.Reason)
			continue
		}
		truth := readAlleyTruth(t, stem).Truth
		for _, m := range out.Measurements {
			switch {
			case m.Quantity == orchard.ClearWidthM:
				board.add(m, truth.AtBoard.All.Face)
				if k > 2 {
					check.add(m, truth.AtBoard.All.Face)
				}
			case m.Quantity == orchard.ClearWidthAtM && *m.AtM < 8:
				for _, w := range truth.ByMetre {
					if w.From <= *m.AtM && *m.AtM < w.From+1 && w.All.Face != nil {
						along.add(m, *w.All.Face)
					}
				}
			}
		}
	}
	t.Logf("at the board: %s\nof these 03 to 05: %s\nover the first 8 m: %s", board, check, along)
	const mostAtBoardM, mostAlongM, leastInside = 0.12, 0.20, 0.8
	if board.abs > mostAtBoardM*float64(board.n) {
		t.Errorf("clear width at the board errs by %.3f m in the mean, %.2f allowed", board.abs/float64(board.n), mostAtBoardM)
	}
	if along.abs > mostAlongM*float64(along.n) {
		t.Errorf("the profile errs by %.3f m in the mean, %.2f allowed", along.abs/float64(along.n), mostAlongM)
	}
	if n := board.n + along.n; float64(board.inside+along.inside) < leastInside*float64(n) {
		t.Errorf("%d of %d truths lie in their intervals", board.inside+along.inside, n)
	}
}

func readFile(t *testing.T, stem string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(alleyTruthDir, stem+".jpg"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}
