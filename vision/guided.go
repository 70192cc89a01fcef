package vision

import (
	"rowlight/calibrate"
)

const (
	// sureAgree: a marker whose print agrees this far needs no second try; only
	// such markers say where a board's others lie, if there are any.
	sureAgree = 0.7
	// guidedRounds: each marker won makes the prediction of the next one better.
	guidedRounds = 3
)

// completeBoards looks for the markers that a seen board must have: the board's
// geometry says where, the print there says whether. Markers that agree badly
// are fitted once more from where the others put them. A board seen twice is
// left alone: there is no telling whose marker is whose.
func (s *markerSearch) completeBoards() error {
	for _, number := range s.boards() {
		for range guidedRounds {
			before := len(s.of(number))
			if err := s.completeBoard(number); err != nil {
				return err
			}
			if after := len(s.of(number)); after == before || after == calibrate.MarkersPerBoard {
				break
			}
		}
	}
	return nil
}

// boards lists the numbers of the boards seen once, in order of sighting.
func (s *markerSearch) boards() []int {
	var order []int
	seen, doubled := map[int]bool{}, map[int]bool{}
	ids := map[int]bool{}
	for _, m := range s.found {
		n := calibrate.BoardNumber(m.id)
		if !seen[n] {
			order = append(order, n)
		}
		seen[n] = true
		doubled[n] = doubled[n] || ids[m.id]
		ids[m.id] = true
	}
	var out []int
	for _, n := range order {
		if !doubled[n] {
			out = append(out, n)
		}
	}
	return out
}

// of returns where in found the markers of a board are.
func (s *markerSearch) of(number int) []int {
	var out []int
	for i, m := range s.found {
		if calibrate.BoardNumber(m.id) == number {
			out = append(out, i)
		}
	}
	return out
}

func (s *markerSearch) completeBoard(number int) error {
	for slot := range calibrate.MarkersPerBoard {
		id := number*calibrate.MarkersPerBoard + slot
		have := -1
		for _, i := range s.of(number) {
			if s.found[i].id == id {
				have = i
			}
		}
		if have >= 0 && s.found[have].agree >= sureAgree {
			continue
		}
		start, ok := s.predict(number, id)
		if !ok {
			continue
		}
		if have < 0 {
			if err := s.try(id, start); err != nil {
				return err
			}
			continue
		}
		fit, err := s.fit(id, start)
		if err != nil {
			return err
		}
		if fit.agree > s.found[have].agree {
			s.found[have].patternFit = fit
		}
	}
	return nil
}

// predict returns where a marker of a board lies, from the board's other
// markers: the sure ones, or all where none is sure.
func (s *markerSearch) predict(number, id int) (c [4]calibrate.Pixel, ok bool) {
	for _, least := range []float64{sureAgree, 0} {
		var from, to []calibrate.Pixel
		for _, i := range s.of(number) {
			if m := s.found[i]; m.id != id && m.agree >= least {
				from, to = append(from, flatCorners(m.id)...), append(to, m.corners[:]...)
			}
		}
		h, err := calibrate.Homography(from, to)
		if err != nil {
			continue
		}
		for k, p := range flatCorners(id) {
			c[k] = h.Apply(p)
		}
		return c, true
	}
	return c, false
}

// flatCorners returns a marker's corners on the sheet, metres, as plane points.
func flatCorners(id int) []calibrate.Pixel {
	corners, _ := calibrate.MarkerCorners(id)
	out := make([]calibrate.Pixel, len(corners))
	for k, v := range corners {
		out[k] = calibrate.Pixel{X: v[0], Y: v[1]}
	}
	return out
}
