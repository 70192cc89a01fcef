package scene

import "math"

// The survey board, millimetres from the sheet's top-left corner, x right, y
// down: the project's board file, typed in again (see doc.go).
const (
	sheetWMM, sheetHMM = 420.0, 297.0
	markerMM           = 100.0
	moduleCount        = 7 // five bits and the black rim on both sides
	// StandM is how high an upright board's bottom edge stands.
	StandM = 0.300
)

// Reflectances: white paper 0.85, toner 0.04 (common practice); the grey patch
// is sRGB 118 next to the paper's white, 0.181 of it.
const paper, toner, grey = 0.85, 0.04, 0.181 * 0.85

func markerPlacesMM() [4][2]float64 {
	return [4][2]float64{{15, 15}, {305, 15}, {305, 182}, {15, 182}}
}

// markerBits are the 25 inner bits of the first 20 markers, row by row, first
// bit highest, 1 white: printed once with OpenCV 4.6, DICT_5X5_100.
func markerBits() [20]uint32 {
	return [20]uint32{
		0x145b2bc, 0x01c06e6, 0x1af0edd, 0x10395f7,
		0x1aeb524, 0x1d4082d, 0x0d3d7ec, 0x0e2146b,
		0x10d6132, 0x1313fa5, 0x13cee03, 0x1a2dac0,
		0x1e62b11, 0x05e7166, 0x1fcfca8, 0x051e37f,
		0x097a758, 0x0bea26f, 0x0f64dc4, 0x1061de8,
	}
}

// BoardNumbers is how many boards the renderer can draw: numbers 0..4.
const BoardNumbers = 5

// Board is a survey board in the scene.
type Board struct {
	Number  int
	TopLeft Vec3 // the sheet's top-left corner
	Right   Vec3 // unit vector along the sheet's top edge
	Down    Vec3 // unit vector down the sheet's left edge
	// Card makes it a sheet of another kind: a code in place of the markers.
	Card *Card
}

// FlatBoard lies on the ground, printed side up, its top toward an azimuth.
func FlatBoard(number int, centre Vec3, topAzimuthDeg float64) Board {
	up := Heading(topAzimuthDeg)
	right := Heading(topAzimuthDeg + 90)
	const paperLiftM = 0.002 // above the litter, so that it is not lost in it
	b := Board{Number: number, Right: right, Down: up.Scale(-1)}
	b.TopLeft = Vec3{centre.X, centre.Y, paperLiftM}.Add(right.Scale(-sheetWMM / 2000)).Add(up.Scale(sheetHMM / 2000))
	return b
}

// UprightBoard stands over a place on the ground and faces an azimuth.
func UprightBoard(number int, foot Vec3, facesAzimuthDeg float64) Board {
	right := Heading(facesAzimuthDeg - 90) // the reader looks the other way
	b := Board{Number: number, Right: right, Down: Vec3{0, 0, -1}}
	b.TopLeft = Vec3{foot.X, foot.Y, foot.Z + StandM + sheetHMM/1000}.Add(right.Scale(-sheetWMM / 2000))
	return b
}

// At returns the place of a point of the sheet, millimetres.
func (b Board) At(xMM, yMM float64) Vec3 {
	return b.TopLeft.Add(b.Right.Scale(xMM / 1000)).Add(b.Down.Scale(yMM / 1000))
}

// Centre returns the middle of the sheet.
func (b Board) Centre() Vec3 { w, h := b.size(); return b.At(w/2, h/2) }

// size returns the sheet's width and height, millimetres.
func (b Board) size() (wMM, hMM float64) {
	if b.Card != nil {
		return cardMM, cardMM
	}
	return sheetWMM, sheetHMM
}

// Upright says whether the board stands.
func (b Board) Upright() bool { return b.Down.Z < -0.5 }

// sheet returns the sheet's corners, clockwise from the top left.
func (b Board) sheet() [4]Vec3 {
	w, h := b.size()
	return [4]Vec3{b.At(0, 0), b.At(w, 0), b.At(w, h), b.At(0, h)}
}

// MarkerCorners returns the corners of marker slot 0..3, clockwise from its top left.
func (b Board) MarkerCorners(slot int) [4]Vec3 {
	x, y := markerPlacesMM()[slot][0], markerPlacesMM()[slot][1]
	return [4]Vec3{b.At(x, y), b.At(x+markerMM, y), b.At(x+markerMM, y+markerMM), b.At(x, y+markerMM)}
}

// reflectance returns the print at a point of the sheet, millimetres.
func (b Board) reflectance(x, y float64) float64 {
	if b.Card != nil {
		return b.Card.reflectance(x, y)
	}
	for slot, at := range markerPlacesMM() {
		if mx, my := x-at[0], y-at[1]; mx >= 0 && my >= 0 && mx < markerMM && my < markerMM {
			return markerInk(markerBits()[(4*b.Number+slot)%20], mx, my)
		}
	}
	switch {
	case x >= 180 && x < 240 && y >= 118.5 && y < 178.5:
		return grey
	case inDigit(b.Number, x-196, y-204):
		return toner
	}
	return paper
}

func markerInk(bits uint32, x, y float64) float64 {
	c, r := int(x*moduleCount/markerMM)-1, int(y*moduleCount/markerMM)-1
	if c < 0 || r < 0 || c > 4 || r > 4 || bits>>(24-(5*r+c))&1 == 0 {
		return toner
	}
	return paper
}

// inDigit draws the board's number 0..4 in the text area, 3 by 5 blocks of
// 9 mm, rows from the top.
func inDigit(n int, x, y float64) bool {
	const block = 9.0
	if x < 0 || y < 0 || x >= 3*block || y >= 5*block {
		return false
	}
	rows := [BoardNumbers][5]uint8{{7, 5, 5, 5, 7}, {2, 6, 2, 2, 7}, {7, 1, 7, 4, 7}, {7, 1, 7, 1, 7}, {5, 5, 7, 1, 1}}
	return rows[n%BoardNumbers][int(y/block)]>>(2-int(x/block))&1 == 1
}

// Turned returns the board turned about its middle: leaned back, its face turned to
// the left, and turned clockwise in its own plane, degrees.
func (b Board) Turned(leanDeg, yawDeg, rollDeg float64) Board {
	middle := b.Centre()
	turn := func(axis Vec3, deg float64) {
		b.Right, b.Down = rotated(b.Right, axis, deg), rotated(b.Down, axis, deg)
	}
	turn(b.Right, leanDeg)
	turn(Vec3{0, 0, 1}, yawDeg)
	turn(b.Right.Cross(b.Down), rollDeg)
	w, h := b.size()
	b.TopLeft = middle.Sub(b.Right.Scale(w / 2000)).Sub(b.Down.Scale(h / 2000))
	return b
}

// rotated turns a vector about a unit axis (Rodrigues).
func rotated(p, axis Vec3, deg float64) Vec3 {
	s, c := math.Sincos(deg * degree)
	return p.Scale(c).Add(axis.Cross(p).Scale(s)).Add(axis.Scale(axis.Dot(p) * (1 - c)))
}
