package scene

import "math"

// rowLine is the line a row of trees stands on.
type rowLine struct {
	at, across Vec3 // a point of it; the level unit vector square to it
}

// sameRowM: trunks nearer than this to a row's line stand in that row.
const sameRowM = 0.6

// rowLines returns the distinct lines of some trees.
func rowLines(trees []*Tree) []rowLine {
	var rows []rowLine
next:
	for _, t := range trees {
		for _, r := range rows {
			if math.Abs(t.Spec.At.Sub(r.at).Dot(r.across)) < sameRowM {
				continue next
			}
		}
		rows = append(rows, rowLine{t.Spec.At, Heading(t.Spec.RowAzimuthDeg + 90)})
	}
	return rows
}
