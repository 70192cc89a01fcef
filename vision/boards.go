package vision

import (
	"fmt"
	"slices"
	"strings"

	"rowlight/calibrate"
)

// DoubledBoardError says that boards of one number stand in a photo more than
// once: there is no telling whose marker is whose.
type DoubledBoardError struct{ Numbers []int }

func (e *DoubledBoardError) Error() string {
	names := make([]string, len(e.Numbers))
	for i, n := range e.Numbers {
		names[i] = fmt.Sprintf("board %d", n)
	}
	return strings.Join(names, " and ") + " shows more than once"
}

// GroupBoards sorts sightings by the board that carries them. A board with two
// sightings of one marker is left out of the map and named in a
// *DoubledBoardError; the other boards are still good. Sightings of ids that no
// board carries are dropped.
func GroupBoards(seen []calibrate.MarkerSighting) (map[int][]calibrate.MarkerSighting, error) {
	boards := map[int][]calibrate.MarkerSighting{}
	ids := map[int]bool{}
	var doubled []int
	for _, m := range seen {
		if _, ok := calibrate.MarkerCorners(m.ID); !ok {
			continue
		}
		n := calibrate.BoardNumber(m.ID)
		if ids[m.ID] {
			doubled = append(doubled, n)
		}
		ids[m.ID] = true
		boards[n] = append(boards[n], m)
	}
	if len(doubled) == 0 {
		return boards, nil
	}
	slices.Sort(doubled)
	doubled = slices.Compact(doubled)
	for _, n := range doubled {
		delete(boards, n)
	}
	return boards, &DoubledBoardError{Numbers: doubled}
}
