package accuracy

import (
	"errors"
	"io/fs"
	"math"
	"testing"
)

const (
	rowsFolder = "../../../shared/truth/orchard_rows"
	dotsFile   = "../../testdata/dots/labels.csv"
	// Landis and Koch 1977 (Biometrics 33:159-174; from memory) call agreement
	// substantial above kappa 0.60 and nearly perfect above 0.80: the labels must
	// repeat themselves nearly perfectly to judge by, and what is classed must
	// agree substantially with those that are sure.
	substantial, nearlyPerfect = 0.60, 0.80
)

// Cohen's kappa worked by hand: 20 of 50 yes-yes, 15 no-no, 5 and 10 mixed:
// agreement 0.70, by chance 0.50, kappa 0.40.
func TestKappa(t *testing.T) {
	var s DotScore
	s.Count[0][0], s.Count[0][1], s.Count[1][0], s.Count[1][1] = 20, 5, 10, 15
	share, kappa, n := s.Agreement()
	if n != 50 || math.Abs(share-0.70) > 1e-12 || math.Abs(kappa-0.40) > 1e-12 {
		t.Errorf("agreement %.3f, kappa %.3f of %d; want 0.700, 0.400 of 50", share, kappa, n)
	}
}

func TestLabelsAreKept(t *testing.T) {
	dots, err := ReadDots(dotsFile)
	if err != nil {
		t.Fatal(err)
	}
	perPhoto, twice := map[string]int{}, 0
	for _, d := range dots {
		perPhoto[d.Photo]++
		if d.Second != "" {
			twice++
		}
	}
	for p, n := range perPhoto {
		if n < 100 {
			t.Errorf("%s: %d points, 100 wanted", p, n)
		}
	}
	if len(perPhoto) < 6 || twice != 60 {
		t.Errorf("%d photos, %d points looked at twice; want 6 and 60", len(perPhoto), twice)
	}
}

func TestDotsAgree(t *testing.T) {
	dots, err := ReadDots(dotsFile)
	if err != nil {
		t.Fatal(err)
	}
	r, err := JudgeDots(rowsFolder, dots)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("SKIPPED: no photos under ../shared/truth/orchard_rows; the side view is NOT checked on real orchard rows")
	}
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		s    *DotScore
		want float64
	}{"sure labels": {&r.Sure, substantial}, "labels against their second look": {&r.Repeat, nearlyPerfect}} {
		share, kappa, n := c.s.Agreement()
		t.Logf("%s: %.3f, kappa %.2f, %d points", name, share, kappa, n)
		if kappa <= c.want {
			t.Errorf("%s: kappa %.2f, over %.2f wanted", name, kappa, c.want)
		}
	}
	share, kappa, n := r.All.Agreement()
	t.Logf("all labels: %.3f, kappa %.2f, %d points", share, kappa, n)
}
