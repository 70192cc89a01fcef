package vision

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/calibrate"
)

// worstCorner returns the largest distance of a sighting's corners from the
// scene's own, and how many of the board's markers were seen.
func (d drawnScene) worstCorner(seen []calibrate.MarkerSighting) (worstPx float64, count int) {
	for _, m := range seen {
		if calibrate.BoardNumber(m.ID) != d.number {
			continue
		}
		count++
		for k, c := range d.trueCorners(m.ID) {
			worstPx = math.Max(worstPx, c.Dist(m.Corners[k]))
		}
	}
	return worstPx, count
}

// turned returns the sheet's corners turned by quarter turns within the photo.
func turned(c [4]calibrate.Pixel, quarters int) [4]calibrate.Pixel {
	var out [4]calibrate.Pixel
	for k := range out {
		out[k] = c[(k+quarters)%4]
	}
	return out
}

// A drawn board, its corners known from the homography it was drawn by. 0.25 px
// is what calibrate takes for a corner's noise, here as the limit for the worst
// of sixteen corners.
func TestMarkersOnDrawnBoards(t *testing.T) {
	upright := seenAskew()
	cases := map[string]func(d *drawnScene){
		"sharp":         func(*drawnScene) {},
		"soft":          func(d *drawnScene) { d.sigmaPx = 1.2 },
		"noisy":         func(d *drawnScene) { d.sigmaPx, d.noise = 0.8, 0.015 },
		"burnt out":     func(d *drawnScene) { d.sigmaPx, d.paper, d.ink = 0.8, 2, 0.1 },
		"sun patch":     func(d *drawnScene) { d.sigmaPx, d.paper, d.ink, d.turnSunPatch = 0.8, 0.13, 0.007, true },
		"other numbers": func(d *drawnScene) { d.number = 24 },
	}
	for name, change := range cases {
		t.Run(name, func(t *testing.T) {
			d := standing(t, 580, 420, upright)
			change(&d)
			seen, err := Markers(d.draw(t))
			if err != nil {
				t.Fatal(err)
			}
			if worst, n := d.worstCorner(seen); n != 4 || len(seen) != 4 || worst > 0.25 {
				t.Errorf("%d markers of the board, %d in all, worst corner %.2f px", n, len(seen), worst)
			}
		})
	}
}

// A board upside down or on its side keeps its corner order: the corners are
// named by the print, not by the photo.
func TestMarkersOfTurnedBoards(t *testing.T) {
	for quarters := range 4 {
		t.Run(fmt.Sprint(quarters), func(t *testing.T) {
			square := [4]calibrate.Pixel{{X: 60, Y: 40}, {X: 460, Y: 52}, {X: 452, Y: 405}, {X: 70, Y: 390}}
			d := standing(t, 520, 440, turned(square, quarters))
			d.number, d.sigmaPx = 3, 0.8
			seen, err := Markers(d.draw(t))
			if err != nil {
				t.Fatal(err)
			}
			if worst, n := d.worstCorner(seen); n != 4 || worst > 0.25 {
				t.Errorf("%d markers, worst corner %.2f px", n, worst)
			}
		})
	}
}

// Two boards with one number are both returned, and GroupBoards names them.
func TestTwoBoardsOfOneNumber(t *testing.T) {
	d := standing(t, 420, 320, [4]calibrate.Pixel{{X: 20, Y: 20}, {X: 400, Y: 22}, {X: 398, Y: 292}, {X: 22, Y: 288}})
	d.number, d.sigmaPx = 6, 0.7
	one := d.draw(t)
	two := &Photo{W: 2 * one.W, H: one.H, FullW: 2 * one.W, FullH: one.H}
	for y := range one.H {
		row := one.Pix[3*y*one.W : 3*(y+1)*one.W]
		two.Pix = append(append(two.Pix, row...), row...)
	}
	seen, err := Markers(two)
	if err != nil {
		t.Fatal(err)
	}
	if len(seen) != 8 {
		t.Errorf("%d sightings, want 8", len(seen))
	}
	boards, err := GroupBoards(seen)
	var doubled *DoubledBoardError
	if !errors.As(err, &doubled) || len(doubled.Numbers) != 1 || doubled.Numbers[0] != 6 || len(boards) != 0 {
		t.Errorf("boards %v, error %v", boards, err)
	}
}

func TestGroupBoards(t *testing.T) {
	sight := func(ids ...int) (out []calibrate.MarkerSighting) {
		for _, id := range ids {
			out = append(out, calibrate.MarkerSighting{ID: id})
		}
		return out
	}
	boards, err := GroupBoards(sight(4, 5, 7, 12, 99, 100, -1))
	if err != nil || len(boards) != 3 || len(boards[1]) != 3 || len(boards[3]) != 1 || len(boards[24]) != 1 {
		t.Errorf("boards %v, error %v", boards, err)
	}
	boards, err = GroupBoards(sight(4, 5, 5, 4, 12))
	if err == nil || len(boards) != 1 || len(boards[3]) != 1 {
		t.Errorf("doubled: boards %v, error %v", boards, err)
	}
	if boards, err := GroupBoards(nil); err != nil || len(boards) != 0 {
		t.Errorf("none: boards %v, error %v", boards, err)
	}
}

// Noise holds no marker: none may be made up.
func TestNoMarkersInNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, grain := range []int{1, 4, 9} {
		p := &Photo{W: 900, H: 700, FullW: 900, FullH: 700, Pix: make([]uint8, 3*900*700)}
		tone := make([]uint8, 900*700)
		for i := range tone {
			tone[i] = uint8(rng.IntN(2) * 255)
		}
		for y := range p.H {
			for x := range p.W {
				v := tone[y/grain*p.W+x/grain]
				i := 3 * (y*p.W + x)
				p.Pix[i], p.Pix[i+1], p.Pix[i+2] = v, v, v
			}
		}
		seen, err := Markers(p)
		if err != nil || len(seen) != 0 {
			t.Errorf("grain %d px: %d markers, error %v", grain, len(seen), err)
		}
	}
}

// A photo whose pixels do not match its size is an error, not a crash.
func TestMarkersOfABrokenPhoto(t *testing.T) {
	for name, p := range map[string]*Photo{"empty": {}, "short": {W: 10, H: 10, Pix: make([]uint8, 7)}} {
		if _, err := Markers(p); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
