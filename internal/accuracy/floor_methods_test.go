package accuracy

import (
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// The 6-level example that is passed around with Otsu's method (8 7 2 6 9 4):
// Otsu splits before level 3, Kittler and Illingworth before level 2, with
// J = 1.63060 there and 1.67028 before level 3 (trade notes 2.2, computed).
func TestThresholdsOnTheSixLevelExample(t *testing.T) {
	h := []float64{8, 7, 2, 6, 9, 4}
	if got := otsu(h); got != 2 {
		t.Errorf("Otsu splits after level %d, 2 expected", got)
	}
	if got := kittler(h); got != 1 {
		t.Errorf("Kittler-Illingworth splits after level %d, 1 expected", got)
	}
	// Before level 2: 8 and 7 of 36 at 0 and 1; 2, 6, 9, 4 at 2 to 5.
	low, high := classSums{15, 7, 7}, classSums{21, 78, 306}
	if j := minimumError(15.0/36, 21.0/36, low.variance(), high.variance()); math.Abs(j-1.63060) > 5e-5 {
		t.Errorf("J = %.5f, 1.63060 expected", j)
	}
}

// Two humps, 32 levels; skimage.filters.threshold_otsu of scikit-image 0.19.3
// (Debian 12) puts the threshold at 15.
func TestOtsuAgreesWithScikitImage(t *testing.T) {
	h := []float64{3, 7, 14, 25, 41, 61, 80, 95, 100, 95, 81, 62, 43, 28, 19, 15, 16, 19, 25, 30, 35, 39, 40, 39, 35, 30, 24, 18, 13, 9, 5, 3}
	if got := otsu(h); got != 15 {
		t.Errorf("Otsu splits after level %d, 15 expected", got)
	}
}

// Drawn from what is fitted: 70 % at bin 60 (SD 12), 30 % at bin 150 (SD 20). The
// means are known to 20/sqrt(6000) = 0.26 bins, the weight to 0.3 points; the
// distributions hardly overlap.
func TestTwoNormalsFindWhatTheyWereDrawnFrom(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	h := make([]float64, logBins)
	for i := range 20000 {
		x := 60.5 + 12*rng.NormFloat64()
		if i%10 < 3 {
			x = 150.5 + 20*rng.NormFloat64()
		}
		h[min(max(int(x), 0), logBins-1)]++
	}
	m := fitNormals(h)
	if math.Abs(m.mean[0]-60) > 1 || math.Abs(m.mean[1]-150) > 1.5 || math.Abs(m.weight[1]-0.3) > 0.01 {
		t.Errorf("%+v", m)
	}
}

// All light in one bin splits nowhere and must not panic.
func TestMethodsOnAFloorOfOneLight(t *testing.T) {
	f := pipeline.FloorLight{Luminance: []float64{0.2, 0.2, 0.2}, AreaM2: []float64{1, 1, 1}}
	for _, m := range FloorMethods() {
		if got := m.Share(f); got < 0 || got > 1 || math.IsNaN(got) {
			t.Errorf("%s: %g", m.Name, got)
		}
	}
	if got := above(pipeline.FloorLight{}, otsu); got != 0 {
		t.Errorf("no floor at all: %g", got)
	}
}

// The reason for the method: on the same pixels it must err less than each bare one.
func TestOursBeatsTheBareMethods(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	cases, err := Load("../../testdata/rendered")
	if err != nil {
		t.Fatal(err)
	}
	env := pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true}
	errors, methods := make([]tally, len(FloorMethods())), FloorMethods()
	for _, c := range cases {
		truth, ok := c.floorTruth()
		if !ok || c.Kind != orchard.Floor {
			continue
		}
		f, err := pipeline.FloorLightOf(photoBytes(t, c.Path), env)
		if err != nil {
			t.Errorf("%s: %v", c.Path, err)
			continue
		}
		for i, m := range methods {
			errors[i].add(m.Share(f) - truth)
		}
	}
	ours := errors[len(errors)-1]
	for i, e := range errors[:len(errors)-1] {
		t.Logf("%s: mean absolute error %.1f points, ours %.1f, of %.0f photos", methods[i].Name, 100*e.abs/e.n, 100*ours.abs/ours.n, e.n)
		if ours.abs >= e.abs {
			t.Errorf("%s does better", methods[i].Name)
		}
	}
}

func TestPrintFloorMethodsHasALineEach(t *testing.T) {
	if testing.Short() {
		t.Skip("measures a photo")
	}
	cases, err := Load("../../testdata/rendered")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, c := range cases {
		if c.Group == "partial" {
			if err := PrintFloorMethods(&b, []Case{c}, pipeline.Env{Set: pipeline.DefaultSettings()}); err != nil {
				t.Fatal(err)
			}
			break
		}
	}
	for _, m := range FloorMethods() {
		if strings.Count(b.String(), m.Name+" ") != 1 {
			t.Errorf("%s is not in the table once:\n%s", m.Name, b.String())
		}
	}
}

func photoBytes(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
