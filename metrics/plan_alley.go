package metrics

import "math"

const (
	// leastAlleyM short of its target is worth a cut: half of it a side is a leaf's
	// length (ours).
	leastAlleyM = 0.20
	// rowsOfAlley each give half of what an alley lacks.
	rowsOfAlley = 2
)

// The face of the crown that an alley's cut is on, as the tree's side photo shows it.
const (
	NearFace = "near" // the face in the picture
	FarFace  = "far"  // the back, which the picture does not show
)

// AlleyBeside is one of the two alleys that a tree stands at.
type AlleyBeside struct {
	Side   string // "left" or "right" of the row as seen from its tree 1, "" not known
	ClearM Estimate
}

// cutAlleys lists the alley sides that are to go back, in the form's order.
func cutAlleys(f TreeForm, l CutLimits) []CutPlace {
	var out []CutPlace
	for _, a := range f.Alleys {
		if a.ClearM.Value > l.ClearAlleyM-leastAlleyM {
			continue
		}
		p := CutPlace{
			Kind: CutAlley, Side: a.Side, Sure: a.ClearM.High95 < l.ClearAlleyM,
			SizeM: (l.ClearAlleyM - math.Max(a.ClearM.Value, 0)) / rowsOfAlley,
		}
		if f.spans() {
			p.LowM, p.HighM = f.CrownBaseM.Value, f.HeightM.Value
		}
		out = append(out, p)
	}
	return out
}
