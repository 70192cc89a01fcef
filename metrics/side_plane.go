package metrics

import "math"

// SideKind is what a cell of the row's plane shows.
type SideKind uint8

// The kinds of cell.
const (
	SideUnseen SideKind = iota // outside the photo
	SideSky
	SideFoliage
	SideWood
	SideGround
	SideBoard
)

// SidePlane is what a side photo shows, laid onto the row's plane: the upright
// plane through the board's face. Cell (i, j) lies LeftM + (i+0.5) CellM along
// the row from the board's centre (right is positive for the reader of the
// board) and (j+0.5) CellM above the ground. What stands before or behind the
// plane is drawn where the line of sight cuts it.
type SidePlane struct {
	W, H  int
	CellM float64
	LeftM float64
	Kind  []SideKind // row by row from the ground up
	// Where the camera stands: its height above the ground, its place along the
	// row, its distance from the plane. The level line is at CameraHeightM.
	CameraHeightM, CameraXM, DistanceM float64
	// TreeSpacingM is the distance of trees in the row; 0 where not known.
	TreeSpacingM float64
	// RowSpacingM is the distance to the next row behind; 0 where not known.
	RowSpacingM float64
	// Ground is the ground about the tree under direct sun; nil where the light is of one
	// kind or the sun's height is not known.
	Ground *GroundShade
	// level tells of each cell how it was laid level; nil where the plane is the
	// photo's own view.
	level []levelNote
}

// levelNote is what is kept of a cell that was laid level: the edges of the photo it
// was seen at, and whether two photos themselves placed it.
type levelNote uint8

const (
	topEdge levelNote = 1 << iota
	leftEdge
	rightEdge
	placed
)

// frameEdgeM is how near to what the photo does not show a cell is at its edge.
const frameEdgeM = 0.03

// edgesAt tells at which edges of the photo a cell lies.
func (p *SidePlane) edgesAt(cell int) (e levelNote) {
	return p.edgesOf(cell%p.W, cell/p.W)
}

// edgesOf is edgesAt of column i in row j.
func (p *SidePlane) edgesOf(i, j int) (e levelNote) {
	if p.level != nil {
		return p.level[j*p.W+i]
	}
	n := p.cells(frameEdgeM)
	unseen := func(i, j int) bool {
		return i < 0 || i >= p.W || j >= p.H || p.Kind[j*p.W+i] == SideUnseen
	}
	if unseen(i, j+n) {
		e |= topEdge
	}
	if unseen(i-n, j) {
		e |= leftEdge
	}
	if unseen(i+n, j) {
		e |= rightEdge
	}
	return e
}

// rowM is the distance to the next row, the usual one where it is not known.
func (p *SidePlane) rowM() float64 {
	if p.RowSpacingM > 0 {
		return p.RowSpacingM
	}
	return defaultRowM
}

// XM is the place of column i along the row.
func (p *SidePlane) XM(i int) float64 { return p.LeftM + (float64(i)+0.5)*p.CellM }

// ZM is the height of row j above the ground.
func (p *SidePlane) ZM(j int) float64 { return (float64(j) + 0.5) * p.CellM }

// Column is the column at x metres, held within the plane.
func (p *SidePlane) Column(xM float64) int {
	return min(max(int(math.Floor((xM-p.LeftM)/p.CellM)), 0), p.W-1)
}

// Row is the row at z metres above the ground, held within the plane.
func (p *SidePlane) Row(zM float64) int {
	return min(max(int(math.Floor(zM/p.CellM)), 0), p.H-1)
}

// cells is a length in whole cells, at least 1.
func (p *SidePlane) cells(m float64) int { return max(1, int(math.Round(m/p.CellM))) }

// cellSet is a set of cells of a plane.
type cellSet struct {
	w, h int
	in   []bool
}

func newCellSet(w, h int) *cellSet { return &cellSet{w, h, make([]bool, w*h)} }

func (s *cellSet) count() int {
	n := 0
	for _, in := range s.in {
		if in {
			n++
		}
	}
	return n
}

// radius is the crown's radius for half a width as drawn.
func (p *SidePlane) radius(drawnM float64) float64 {
	if p.level != nil {
		return drawnM
	}
	return silhouetteRadius(drawnM, p.DistanceM)
}
