package scene

// Card is a square sheet with a code of black and white modules in its middle, a
// tree's card.
type Card struct {
	Side  int    // modules along a side of the code
	Black []bool // row by row
}

// cardMM is the card's side: the width of an A5 sheet; quietModules of white
// stand round the code (ISO/IEC 18004 asks for 4).
const cardMM, quietModules = 148.0, 4

// FlatCard lies on the ground, its top toward an azimuth.
func FlatCard(c *Card, centre Vec3, topAzimuthDeg float64) Board {
	b := FlatBoard(0, centre, topAzimuthDeg)
	b.Card = c
	b.TopLeft = Vec3{centre.X, centre.Y, b.TopLeft.Z}.Sub(b.Right.Scale(cardMM / 2000)).Sub(b.Down.Scale(cardMM / 2000))
	return b
}

// reflectance returns the print at a point of the card, millimetres.
func (c *Card) reflectance(x, y float64) float64 {
	module := cardMM / float64(c.Side+2*quietModules)
	i, j := int(x/module)-quietModules, int(y/module)-quietModules
	if x < 0 || y < 0 || i < 0 || j < 0 || i >= c.Side || j >= c.Side || !c.Black[j*c.Side+i] {
		return paper
	}
	return toner
}
