package calibrate

// The survey board, A3 landscape, as the board file of the project fixes it
// (DEVELOPERS.md, "The survey board"). Millimetres from the sheet's top-left
// corner, x right, y down.
const (
	SheetWidthMM  = 420.0
	SheetHeightMM = 297.0
	MarkerSideMM  = 100.0
	// MarkersPerBoard: board n carries the ids 4n..4n+3, clockwise from top left.
	MarkersPerBoard = 4
	// BoardCount: 25 boards use up the 100 ids of the 5x5 dictionary.
	BoardCount = 25
	// StandHeightM is how high an upright board's bottom edge stands above the
	// ground unless the orchard file says otherwise.
	StandHeightM = 0.300
	mmPerM       = 1000.0
)

// GreyPatchMM is the grey square: left, top, width, height in millimetres.
// Its ink is sRGB 118 (18 % reflectance, next to paper white).
func GreyPatchMM() (left, top, width, height float64) { return 180, 118.5, 60, 60 }

// TextAreaMM is where the board's number is printed.
func TextAreaMM() (left, top, width, height float64) { return 130, 200, 160, 80 }

// MarkerTopLeftMM returns the top-left corner of marker slot 0..3 (top left, top
// right, bottom right, bottom left). Any other slot is a programmer's error.
func MarkerTopLeftMM(slot int) (x, y float64) {
	at := [MarkersPerBoard][2]float64{{15, 15}, {305, 15}, {305, 182}, {15, 182}}[slot]
	return at[0], at[1]
}

// MarkerCorners returns the four corners (top left, top right, bottom right,
// bottom left) of a marker id in the board frame, metres; ok is false for an id
// that no board carries.
func MarkerCorners(id int) (corners [4]Vec3, ok bool) {
	if id < 0 || id >= BoardCount*MarkersPerBoard {
		return corners, false
	}
	x, y := MarkerTopLeftMM(id % MarkersPerBoard)
	for i, d := range [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		corners[i] = Vec3{(x + d[0]*MarkerSideMM) / mmPerM, (y + d[1]*MarkerSideMM) / mmPerM, 0}
	}
	return corners, true
}

// BoardNumber returns which board carries a marker id.
func BoardNumber(id int) int { return id / MarkersPerBoard }

// SheetCorners returns the sheet's corners in the board frame, clockwise from
// the top left, metres.
func SheetCorners() [4]Vec3 {
	w, h := SheetWidthMM/mmPerM, SheetHeightMM/mmPerM
	return [4]Vec3{{0, 0, 0}, {w, 0, 0}, {w, h, 0}, {0, h, 0}}
}

// SheetCentre returns the middle of the sheet in the board frame, metres.
func SheetCentre() Vec3 { return Vec3{SheetWidthMM / 2 / mmPerM, SheetHeightMM / 2 / mmPerM, 0} }
