package pipeline

import (
	"fmt"

	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// What an alley's cut looks like: the crown's edges drawn in from LowM up, through
// where the picture shows that face, broken where it shows the back or does not say;
// and under its words a bar as long as the cut is deep.
const (
	faceInsetM = 0.10
	// faceDashM of line and as much of gap, a third of a window.
	faceDashM = 0.35
	// faceWordsM over the crown's lower edge, each alley's words over the last's.
	faceWordsM = 0.45
	// faceBarM under the words, its ends ticked by as much.
	faceBarM = 0.07
)

func (d *cutDrawing) alleyFace(m CutMark) {
	d.faceEdges(m)
	d.alleys++
	at := d.faceFoot()
	at.ZM += faceWordsM * float64(d.alleys)
	d.text(at, alleyLabel(m))
	bar := at.ZM - faceBarM
	d.line(d.canvas, metrics.SidePoint{XM: at.XM, ZM: bar}, metrics.SidePoint{XM: at.XM + m.SizeM, ZM: bar}, overlay.Red, cutLinePx)
	for _, x := range []float64{at.XM, at.XM + m.SizeM} {
		d.line(d.canvas, metrics.SidePoint{XM: x, ZM: bar - faceBarM}, metrics.SidePoint{XM: x, ZM: bar + faceBarM}, overlay.Red, cutLinePx)
	}
}

// alleyLabel says which alley, which face of the picture, and how deep.
func alleyLabel(m CutMark) string {
	side := "alley side"
	if m.Side != "" {
		side = m.Side + " alley"
	}
	switch m.Face {
	case metrics.NearFace:
		side += ", this face"
	case metrics.FarFace:
		side += ", the back"
	}
	return fmt.Sprintf("%d %s: %.1f m deep", m.Number, side, m.SizeM)
}

// faceEdges draws the edges of the crown that an alley's cut goes over.
func (d *cutDrawing) faceEdges(m CutMark) {
	from := 0
	for k := 1; k < len(d.z); k++ {
		if d.height(d.z[from]) < m.LowM || d.height(d.z[k]) > m.HighM {
			from = k
			continue
		}
		if d.z[k]-d.z[from] < faceDashM {
			continue
		}
		if dash := int(d.z[from] / faceDashM); m.Face == metrics.NearFace || dash%2 == 0 {
			d.edge(from, k)
		}
		from = k
	}
}

// edge draws both of the outline's ends, a little inside it, between two of its rows.
func (d *cutDrawing) edge(from, to int) {
	for _, x := range [][2]float64{{d.left[from] + faceInsetM, d.left[to] + faceInsetM}, {d.rgt[from] - faceInsetM, d.rgt[to] - faceInsetM}} {
		d.line(d.canvas, metrics.SidePoint{XM: x[0], ZM: d.z[from]}, metrics.SidePoint{XM: x[1], ZM: d.z[to]}, overlay.Red, cutLinePx)
	}
}
