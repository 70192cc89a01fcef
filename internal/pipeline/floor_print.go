package pipeline

import (
	"rowlight/calibrate"
	"rowlight/vision/floorlight"
)

const (
	// printOffMM is how far to either side of a printed edge its white and its dark
	// are read: the middle of a marker's black border, half a module wide, and of
	// the margin outside.
	printOffMM = 7.0
	// printHalfMM to each side of there is read: clear of the edges by more than a
	// good photo's blur.
	printHalfMM = 3.0
)

// printPairs lists places to both sides of the edges of the board's markers and of
// its grey patch.
func (f *floorScene) printPairs() []floorlight.PrintPair {
	var out []floorlight.PrintPair
	for slot := range calibrate.MarkersPerBoard {
		corners, ok := calibrate.MarkerCorners(slot)
		if !ok {
			continue
		}
		side := (corners[1][0] - corners[0][0]) * mmPerM
		out = append(out, f.edgePairs(corners[0][0]*mmPerM, corners[0][1]*mmPerM, side, false)...)
	}
	left, top, side, _ := calibrate.GreyPatchMM()
	return append(out, f.edgePairs(left, top, side, true)...)
}

// edgePairs are pairs across the sides of a square of the board, millimetres.
func (f *floorScene) edgePairs(left, top, side float64, grey bool) []floorlight.PrintPair {
	at := func(x, y float64) calibrate.Pixel {
		q, _ := f.pose.Project(calibrate.Vec3{x / mmPerM, y / mmPerM, 0})
		return q
	}
	const in, out = printOffMM, -printOffMM
	var pairs []floorlight.PrintPair
	for _, t := range [...]float64{0.08, 0.25, 0.42, 0.58, 0.75, 0.92} {
		a := t * side
		pairs = append(pairs,
			floorlight.PrintPair{White: at(left+a, top+out), Dark: at(left+a, top+in), Grey: grey},
			floorlight.PrintPair{White: at(left+a, top+side-out), Dark: at(left+a, top+side-in), Grey: grey},
			floorlight.PrintPair{White: at(left+out, top+a), Dark: at(left+in, top+a), Grey: grey},
			floorlight.PrintPair{White: at(left+side-out, top+a), Dark: at(left+side-in, top+a), Grey: grey})
	}
	return pairs
}
