package pipeline

import (
	"math"
	"path/filepath"
	"testing"
)

// otsu returns the last bin of the lower class (Otsu 1979, IEEE Trans. SMC 9:62).
func otsu(h []float64) int {
	return bestSplit(h, func(a, b classSums) float64 { return a.n * b.n * (a.mean() - b.mean()) * (a.mean() - b.mean()) })
}

// kittler returns the last bin of the lower class by minimum error (Kittler and
// Illingworth 1986, Pattern Recognition 19:41).
func kittler(h []float64) int {
	return bestSplit(h, func(a, b classSums) float64 {
		if a.variance() <= 0 || b.variance() <= 0 {
			return math.Inf(-1)
		}
		n := a.n + b.n
		return -minimumError(a.n/n, b.n/n, a.variance(), b.variance())
	})
}

func minimumError(p1, p2, v1, v2 float64) float64 {
	return 1 + p1*math.Log(v1) + p2*math.Log(v2) - 2*(p1*math.Log(p1)+p2*math.Log(p2))
}

type classSums struct{ n, x, xx float64 }

func (c classSums) mean() float64     { return c.x / c.n }
func (c classSums) variance() float64 { return c.xx/c.n - c.mean()*c.mean() }

func bestSplit(h []float64, score func(a, b classSums) float64) int {
	var all classSums
	for i, n := range h {
		x := float64(i)
		all.n, all.x, all.xx = all.n+n, all.x+n*x, all.xx+n*x*x
	}
	best, at := math.Inf(-1), 0
	var a classSums
	for i, n := range h[:len(h)-1] {
		x := float64(i)
		a.n, a.x, a.xx = a.n+n, a.x+n*x, a.xx+n*x*x
		b := classSums{all.n - a.n, all.x - a.x, all.xx - a.xx}
		if a.n <= 0 || b.n <= 0 {
			continue
		}
		if s := score(a, b); s > best {
			best, at = s, i
		}
	}
	return at
}

// The 6-level example that is passed around with Otsu's method (8 7 2 6 9 4):
// Otsu splits before level 3, Kittler and Illingworth before level 2, with
// J = 1.63060 there and 1.67028 before level 3 (trade notes 2.2, computed).
func TestBaselinesOnTheSixLevelExample(t *testing.T) {
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

// What a bare threshold on the photo's codes and on their log errs by, beside
// what the unmixing does: the reason for the method. It must beat both.
func TestFloorBeatsBareThresholds(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	var n, ours, byOtsu, byKittler float64
	for _, tr := range floorTruths(t, "practice_floor_*.json") {
		if tr.kase == "overcast" {
			continue
		}
		shot := floorShot(t, loadFloor(t, tr.stem), tr.elevationDeg)
		f, err := newFloorScene(shot)
		if err != nil {
			t.Fatal(err)
		}
		f.look()
		share, err := f.share(f.pixels().Shares())
		if err != nil {
			t.Fatal(err)
		}
		code, log := f.bareShare(otsu, math.Sqrt), f.bareShare(kittler, func(l float64) float64 { return 1 + math.Log(l+0.003)/6 })
		t.Logf("%s truth %5.1f %%: unmixed %5.1f, Otsu on codes %5.1f, Kittler-Illingworth on the log %5.1f", filepath.Base(tr.stem), 100*tr.share, 100*share.Value, 100*code, 100*log)
		n++
		ours += 100 * math.Abs(share.Value-tr.share)
		byOtsu += 100 * math.Abs(code-tr.share)
		byKittler += 100 * math.Abs(log-tr.share)
	}
	t.Logf("mean absolute error over %.0f photos: unmixed %.1f points, Otsu %.1f, Kittler-Illingworth %.1f", n, ours/n, byOtsu/n, byKittler/n)
	if ours >= byOtsu || ours >= byKittler {
		t.Error("a bare threshold does better")
	}
}

// bareShare thresholds the luminance, stretched by scale to about 0..1, pixel by
// pixel, and weighs by area.
func (f *floorScene) bareShare(split func([]float64) int, scale func(float64) float64) float64 {
	const bins = 256
	bin := func(i int) int {
		x, y := i%f.view.W*f.factor, i/f.view.W*f.factor
		at := 3 * (y*f.shot.Photo.W + x)
		p := f.shot.Photo.Pix[at : at+3]
		lum := 0.2126*math.Pow(float64(p[0])/255, 2.2) + 0.7152*math.Pow(float64(p[1])/255, 2.2) + 0.0722*math.Pow(float64(p[2])/255, 2.2)
		return int(math.Max(0, math.Min(bins-1, bins*scale(lum))))
	}
	h := make([]float64, bins)
	for i, in := range f.view.Floor.In {
		if in {
			h[bin(i)]++
		}
	}
	cut := split(h)
	var lit, all float64
	for i, in := range f.view.Floor.In {
		if a := float64(f.areaM2[i]); in && a > 0 {
			all += a
			if bin(i) > cut {
				lit += a
			}
		}
	}
	return lit / all
}
