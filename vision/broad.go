package vision

// #include "broad.h"
import "C"

// BroadCell is the side of the cells, in pixels, that hold what changes slowly over a
// picture.
const BroadCell = C.RL_CELL

// BroadSize is how many cells cover a picture of w x h pixels.
func BroadSize(w, h int) (cellsW, cellsH int) {
	return (w + BroadCell - 1) / BroadCell, (h + BroadCell - 1) / BroadCell
}

// BroadSums returns, cell by cell of rasters w wide, how many marked pixels have a by
// under under, and the sum of ka a + kb b over those.
func BroadSums(in []bool, by []float32, under float32, a []float32, ka float32, b []float32, kb float32, w int) (counts, sums []float32) {
	cellsW, cellsH := BroadSize(w, len(in)/w)
	counts, sums = make([]float32, cellsW*cellsH), make([]float32, cellsW*cellsH)
	rows := make([]float32, 2*BroadCell*cellsW)
	C.rl_cell_sums(boolsOf(in), floatsOf(by), C.float(under), floatsOf(a), C.float(ka), floatsOf(b), C.float(kb),
		C.int(w), C.int(len(in)/w), floatsOf(counts), floatsOf(sums), floatsOf(rows))
	return counts, sums
}

// LessBroad writes a raster w wide less what the cells over it say, straight from each
// cell's middle to the next.
func LessBroad(v, cells []float32, w int, out []float32) {
	cellsW, cellsH := BroadSize(w, len(v)/w)
	row := make([]float32, w+3*BroadCell+cellsW)
	C.rl_less_broad(floatsOf(v), floatsOf(cells), C.int(cellsW), C.int(cellsH), C.int(w), C.int(len(v)/w), floatsOf(out), floatsOf(row))
}
