package vision

import (
	"testing"

	"rowlight/calibrate"
)

// The grey of a pixel is what OpenCV makes of it.
func TestGreyIsOpenCVs(t *testing.T) {
	p := noisePhoto(64, 48)
	m, err := greyMat(p)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	l, err := newLightPlane(p)
	if err != nil {
		t.Fatal(err)
	}
	for y := range p.H {
		for x := range p.W {
			if got, want := l.code(x, y), m.GetUCharAt(y, x); got != want {
				t.Fatalf("at %d, %d: %d, OpenCV %d", x, y, got, want)
			}
		}
	}
}

// The short way from the unit square to a quad is the homography.
func TestSquareToIsTheHomography(t *testing.T) {
	q := quad{{X: 10, Y: 12}, {X: 48, Y: 9}, {X: 52, Y: 41}, {X: 13, Y: 50}}
	square := []calibrate.Pixel{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}
	h, err := calibrate.Homography(square, q[:])
	if err != nil {
		t.Fatal(err)
	}
	to := newSquareTo(q)
	for _, p := range append(square, calibrate.Pixel{X: 0.3, Y: 0.7}) {
		x, y := to.at(p.X, p.Y)
		if d := h.Apply(p).Dist(calibrate.Pixel{X: x, Y: y}); d > 1e-6 {
			t.Errorf("%v goes %g px beside", p, d)
		}
	}
}

// Every marker is read, whichever of its corners the quad begins with, and with one
// module spoilt; two spoilt ones are no marker's.
func TestReadCodeTurned(t *testing.T) {
	codes, err := markerCodes()
	if err != nil {
		t.Fatal(err)
	}
	const modulePx, marginPx = 6, 10
	const side = MarkerModules*modulePx + 2*marginPx
	draw := func(id int, spoilt ...int) *Photo {
		black, err := MarkerPattern(id)
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range spoilt {
			r, c := 1+k/innerModules, 1+k%innerModules
			black[r][c] = !black[r][c]
		}
		p := &Photo{W: side, H: side, Pix: make([]uint8, 3*side*side)}
		for i := range p.Pix {
			x, y := i/3%side-marginPx, i/3/side-marginPx
			p.Pix[i] = 230
			if x >= 0 && y >= 0 && x < side-2*marginPx && y < side-2*marginPx && black[y/modulePx][x/modulePx] {
				p.Pix[i] = 20
			}
		}
		return p
	}
	read := func(p *Photo, turn int) (int, quad, bool) {
		light, err := newLightPlane(p)
		if err != nil {
			t.Fatal(err)
		}
		const lo, hi = marginPx - 0.5, side - marginPx - 0.5
		corner := quad{{X: lo, Y: lo}, {X: hi, Y: lo}, {X: hi, Y: hi}, {X: lo, Y: hi}}
		s := &markerSearch{photo: p, light: light, codes: codes}
		return s.readCode(quad{corner[turn%4], corner[(turn+1)%4], corner[(turn+2)%4], corner[(turn+3)%4]})
	}
	for id := range markerCount {
		got, q, ok := read(draw(id, id%25), id)
		if !ok || got != id || q[0].X > marginPx || q[0].Y > marginPx {
			t.Errorf("marker %d begun at corner %d: read %d from %v, %v", id, id%4, got, q[0], ok)
		}
		if got, _, ok := read(draw(id, 3, 17), id); ok {
			t.Errorf("marker %d with two modules spoilt was read as %d", id, got)
		}
	}
}

// A board in the shade before sunlit straw is darker than what stands around it, white
// paper and all: the window must stay on the sheet.
func TestGlanceSeesADarkSheet(t *testing.T) {
	d := standing(t, 1600, 1200, seenAskew())
	d.sigmaPx, d.paper, d.ink, d.ground = 0.8, 0.12, 0.007, 0.5
	p := d.draw(t)
	light, err := newLightPlane(p)
	if err != nil {
		t.Fatal(err)
	}
	codes, err := markerCodes()
	if err != nil {
		t.Fatal(err)
	}
	s := &markerSearch{photo: p, light: light, codes: codes, edges: map[int][]cellEdge{}}
	done, err := s.glance()
	if err != nil || !done || len(s.found) != calibrate.MarkersPerBoard {
		t.Errorf("%d markers at a glance, done %v, %v", len(s.found), done, err)
	}
}
