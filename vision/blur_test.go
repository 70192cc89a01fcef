package vision

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"rowlight/calibrate"
)

// seenAskew is a board about 300 px across, turned by some 8 degrees.
func seenAskew() [4]calibrate.Pixel {
	return [4]calibrate.Pixel{{X: 60.3, Y: 70.8}, {X: 470.1, Y: 21.4}, {X: 520.6, Y: 300.2}, {X: 82.9, Y: 372.5}}
}

func (d drawnScene) trueSightings() []calibrate.MarkerSighting {
	var out []calibrate.MarkerSighting
	for slot := range 4 {
		id := 4*d.number + slot
		out = append(out, calibrate.MarkerSighting{ID: id, Corners: d.trueCorners(id)})
	}
	return out
}

// A gaussian of sigma s has a 10-90 % width of 2.563 s; a pixel's own square adds
// 1/12 px2 to the variance. 8 % covers the board's slant to the pixels.
func TestEdgeBlurOfGaussian(t *testing.T) {
	for _, sigma := range []float64{0.7, 1, 2, 3} {
		t.Run(fmt.Sprint(sigma), func(t *testing.T) {
			d := standing(t, 580, 420, seenAskew())
			d.sigmaPx, d.noise = sigma, 0.005
			got, err := EdgeBlurPx(d.draw(t), d.trueSightings())
			if err != nil {
				t.Fatal(err)
			}
			want := gaussianRise * math.Sqrt(sigma*sigma+1.0/12)
			if math.Abs(got-want) > 0.08*want {
				t.Errorf("width %.2f px, want %.2f", got, want)
			}
		})
	}
}

// A motion of m px spreads an edge across it evenly: 10-90 % is 0.8 m, along the
// motion only. The board stands at 7 degrees to it, which shortens m by 1 %.
func TestEdgeBlurOfMotion(t *testing.T) {
	for _, m := range []int{5, 9, 13} {
		t.Run(fmt.Sprint(m), func(t *testing.T) {
			d := standing(t, 580, 420, seenAskew())
			d.motionPx = m
			got, err := EdgeBlurPx(d.draw(t), d.trueSightings())
			if err != nil {
				t.Fatal(err)
			}
			if want := 0.8 * float64(m); math.Abs(got-want) > 0.1*want {
				t.Errorf("width %.2f px, want %.2f", got, want)
			}
		})
	}
}

// A sun patch with a hard edge across the board must not change the blur told.
func TestEdgeBlurUnderSunPatch(t *testing.T) {
	d := standing(t, 580, 420, seenAskew())
	d.sigmaPx, d.paper, d.ink, d.turnSunPatch = 1.5, 0.13, 0.008, true
	got, err := EdgeBlurPx(d.draw(t), d.trueSightings())
	if err != nil {
		t.Fatal(err)
	}
	want := gaussianRise * math.Sqrt(1.5*1.5+1.0/12)
	if math.Abs(got-want) > 0.1*want {
		t.Errorf("width %.2f px, want %.2f", got, want)
	}
}

func TestEdgeBlurWithoutEdges(t *testing.T) {
	d := standing(t, 100, 80, [4]calibrate.Pixel{{X: 500, Y: 500}, {X: 600, Y: 500}, {X: 600, Y: 570}, {X: 500, Y: 570}})
	p := d.draw(t)
	for name, seen := range map[string][]calibrate.MarkerSighting{"none": nil, "outside": d.trueSightings(), "on bare ground": {{ID: 0, Corners: [4]calibrate.Pixel{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 60}, {X: 10, Y: 60}}}}} {
		if _, err := EdgeBlurPx(p, seen); !errors.Is(err, ErrNoEdges) {
			t.Errorf("%s: error %v, want ErrNoEdges", name, err)
		}
	}
}
