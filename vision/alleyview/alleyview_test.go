package alleyview

import (
	"math"
	"testing"

	"rowlight/calibrate"
	"rowlight/vision"
)

// drawnAlley is a photo of a straight alley that runs to at: blue sky above,
// brown floor below, green walls to both sides, one grey trunk.
func drawnAlley(at calibrate.Pixel, trunk [4]int) *vision.Photo {
	const w, h = 800, 600
	p := &vision.Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)}
	for y := range h {
		for x := range w {
			dx, dy := math.Abs(float64(x)-at.X), float64(y)-at.Y
			c := [3]uint8{40, 110, 30}
			switch {
			case dy < 0 && dx < -0.5*dy:
				c = [3]uint8{120, 170, 240}
			case dy > 0 && dx < 1.2*dy:
				c = [3]uint8{150, 95, 50}
			}
			if x >= trunk[0] && x < trunk[2] && y >= trunk[1] && y < trunk[3] {
				c = [3]uint8{95, 90, 85}
			}
			copy(p.Pix[3*(y*w+x):], c[:])
		}
	}
	return p
}

func drawnHints(horizonY float64) Hints {
	return Hints{
		HorizonY:  func(float64) float64 { return horizonY },
		SlackPx:   20,
		FloorSeed: [4]calibrate.Pixel{{X: 380, Y: 360}, {X: 460, Y: 360}, {X: 500, Y: 599}, {X: 340, Y: 599}},
	}
}

func TestVanishingFindsWhereTheRowsRunTo(t *testing.T) {
	want := calibrate.Pixel{X: 430, Y: 260}
	v := Reduce(drawnAlley(want, [4]int{})).Look(drawnHints(275))
	got, bits := v.Vanishing(calibrate.Pixel{X: 400, Y: 285}, 60)
	// The last round of the search steps by 60 x 0.4^3 / 5 = 0.8 px; votes lie 8 px
	// apart.
	if got.Dist(want) > 6 || bits < 0.3 {
		t.Errorf("vanishing point %v with %.2f bits, drawn at %v", got, bits, want)
	}
}

func TestLookTellsTheClassesApart(t *testing.T) {
	v := Reduce(drawnAlley(calibrate.Pixel{X: 430, Y: 260}, [4]int{})).Look(drawnHints(260))
	for _, c := range []struct {
		at   calibrate.Pixel
		want Class
	}{{calibrate.Pixel{X: 430, Y: 50}, Sky}, {calibrate.Pixel{X: 40, Y: 50}, Canopy}, {calibrate.Pixel{X: 100, Y: 330}, Canopy}, {calibrate.Pixel{X: 300, Y: 500}, Floor}} {
		if got, ok := v.AtPhoto(c.at); !ok || got != c.want {
			t.Errorf("class at %v is %d, drawn %d", c.at, got, c.want)
		}
	}
	if _, ok := v.AtPhoto(calibrate.Pixel{X: -1, Y: 0}); ok {
		t.Error("a pixel outside the photo has a class")
	}
}

// Shaded litter beside the walls is in no seed, and has the colours of the twigs
// in the canopy: only that it is far commoner below the level line than twigs are
// above it tells it for floor.
func TestLookKnowsFloorThatIsNotInItsSeed(t *testing.T) {
	p := drawnAlley(calibrate.Pixel{X: 430, Y: 260}, [4]int{})
	for y := 400; y < 600; y++ {
		for x := range 300 {
			copy(p.Pix[3*(y*p.W+x):], []uint8{52, 36, 25})
		}
	}
	for y := range 200 {
		for x := y % 25; x < 200; x += 25 {
			copy(p.Pix[3*(y*p.W+x):], []uint8{52, 36, 25})
		}
	}
	v := Reduce(p).Look(drawnHints(260))
	for at, want := range map[calibrate.Pixel]Class{{X: 100, Y: 500}: Floor, {X: 250, Y: 450}: Floor, {X: 100, Y: 340}: Canopy, {X: 780, Y: 340}: Canopy, {X: 400, Y: 500}: Floor} {
		if got, _ := v.AtPhoto(at); got != want {
			t.Errorf("class at %v is %d, drawn %d", at, got, want)
		}
	}
}

func TestFootScoreSeesATrunkAndNotTheFloor(t *testing.T) {
	v := Reduce(drawnAlley(calibrate.Pixel{X: 430, Y: 260}, [4]int{300, 380, 320, 450})).Look(drawnHints(260))
	scores := v.FootScores([]vision.Strip{
		{Foot: calibrate.Pixel{X: 310, Y: 449}, Top: calibrate.Pixel{X: 310, Y: 400}, Widths: [4]float64{20, 20, 20, 20}},
		{Foot: calibrate.Pixel{X: 380, Y: 449}, Top: calibrate.Pixel{X: 380, Y: 400}, Widths: [4]float64{20, 20, 20, 20}},
		{Foot: calibrate.Pixel{X: 310, Y: 425}, Top: calibrate.Pixel{X: 310, Y: 400}, Widths: [4]float64{20, 20, 20, 20}},
		{Foot: calibrate.Pixel{X: 10, Y: 449}, Top: calibrate.Pixel{X: 10, Y: 400}, Widths: [4]float64{20, 20, 20, 20}},
		{Foot: calibrate.Pixel{X: 1e300, Y: 449}, Top: calibrate.Pixel{X: math.NaN(), Y: 400}, Widths: [4]float64{20, 20, 20, 20}},
	}, 0)
	trunk, floor, above := scores[0], scores[1], scores[2]
	// ln(B/G) of the grey against the brown is 0.9 and more.
	if trunk < 0.5 {
		t.Errorf("trunk scores %.2f", trunk)
	}
	if scores[3] != 0 || scores[4] != 0 {
		t.Errorf("strips that reach out of the photo score %.2f and %.2f", scores[3], scores[4])
	}
	// Before a place in the trunk's middle lies more trunk, and a rim of floor to
	// both sides: less than half of a foot's contrast.
	if floor > 0.05 || above > trunk/2 {
		t.Errorf("bare floor scores %.2f, a trunk's middle %.2f", floor, above)
	}
}

func TestLookOnTinyAndFlatPhotos(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {7, 3}, {50, 40}} {
		p := &vision.Photo{W: size[0], H: size[1], FullW: size[0], FullH: size[1], Pix: make([]uint8, 3*size[0]*size[1])}
		v := Reduce(p).Look(drawnHints(1))
		if v.Separation != 0 {
			t.Errorf("%v: a black photo tells canopy from floor by %.2f", size, v.Separation)
		}
		v.Vanishing(calibrate.Pixel{}, 10)
	}
}
