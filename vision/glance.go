package vision

import "math"

const (
	// glanceLongPx is about the longer side of the small copy that boards are looked
	// for on first, before and after halving it once more: at 1000 px a marker of
	// 100 mm at 8 m from a 26 mm lens has 9 px. Only its outline is looked for there;
	// its code is read on the full photo.
	glanceLongPx = 1000
	// glanceSidePx is the least side of a marker's outline in the copy.
	glanceSidePx = 6
	// glanceWindowPx: what is dark is told against the mean over so many pixels. A
	// marker's border has white beside it within that; wider windows reach past the
	// sheet, whose white may be darker than sunlit straw behind it. On 254 rendered
	// photos 5 px found all boards but one, 7 px all but four, 13 px all but seven.
	glanceWindowPx = 5
	// glanceNear times the least side: markers that large in the half-size copy are
	// those of a board on the floor under the camera, beside which no other stands.
	glanceNear = 2.5
	// glanceMarkers of a board say where its others are (completeBoards); those that
	// are not there then are hidden.
	glanceMarkers = 2
)

// glance looks for boards on small copies of the photo, the smaller first. done tells
// that a harder look would find no more.
func (s *markerSearch) glance() (done bool, err error) {
	factor := max(1, int(math.Round(float64(max(s.light.w, s.light.h))/glanceLongPx)))
	small := reducedGrey(s.photo, factor)
	half := small.halved()
	if err := s.outlines(half); err != nil {
		return false, err
	}
	if !s.complete() || s.leastSidePx() < glanceNear*glanceSidePx*float64(half.factor) {
		if err := s.outlines(small); err != nil {
			return false, err
		}
	}
	if err := s.completeBoards(); err != nil {
		return false, err
	}
	return s.placed(), nil
}

// leastSidePx is the shortest side of all markers found.
func (s *markerSearch) leastSidePx() float64 {
	least := math.Inf(1)
	for _, m := range s.found {
		for k := range m.corners {
			least = math.Min(least, m.corners[k].Dist(m.corners[(k+1)%4]))
		}
	}
	return least
}

// placed tells whether a board was seen and every board shows enough markers, read
// beyond doubt, for the others to have been found if they can be.
func (s *markerSearch) placed() bool {
	for _, n := range s.boards() {
		sure := 0
		for _, i := range s.of(n) {
			if s.found[i].agree >= sureAgree {
				sure++
			}
		}
		if sure < glanceMarkers {
			return false
		}
	}
	return len(s.boards()) > 0
}

// outlines tries all dark four-sided shapes of a copy.
func (s *markerSearch) outlines(g *greyCopy) error {
	if g.w < glanceSidePx || g.h < glanceSidePx {
		return nil
	}
	quads, err := g.quads(glanceWindowPx, glanceSidePx, loosePolyRate)
	if err != nil {
		return err
	}
	for _, q := range quads {
		id, turned, ok := s.readCode(q)
		if !ok || s.has(id, turned) {
			continue
		}
		if err := s.try(id, turned); err != nil {
			return err
		}
	}
	return nil
}
