package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// rowSpacingRelSD is how well a block's row spacing holds at one place: rows are
// set out by line, and 7 m come out within a hand or two (common practice).
const rowSpacingRelSD = 0.03

// alleyTie is something known of several unknowns at once: their weighted sum.
type alleyTie struct {
	weight   [alleyUnknowns]float64
	want, sd float64
}

// tiesOf are what the block's row spacing tells of the rows' lines: they are that
// far apart, and the board stands half way. None where the spacing is not known.
func tiesOf(s AlleyScene) []alleyTie {
	middle := alleyTie{want: s.BoardRightM, sd: boardCentreSDM}
	middle.weight[uLeft], middle.weight[uRight], middle.weight[uYaw] = -0.5, 0.5, s.BoardAheadM
	if s.RowSpacingM <= 0 {
		return []alleyTie{middle}
	}
	apart := alleyTie{want: s.RowSpacingM, sd: rowSpacingRelSD * s.RowSpacingM}
	apart.weight[uLeft], apart.weight[uRight] = 1, 1
	return []alleyTie{apart, middle}
}

// off is how many standard deviations the unknowns are off the tie.
func (t alleyTie) off(u [alleyUnknowns]float64) float64 {
	sum := -t.want
	for j, w := range t.weight {
		sum += w * u[j]
	}
	return sum / t.sd
}

// pull adds the tie to the Fisher information and the cost's gradient at u.
func (t alleyTie) pull(u [alleyUnknowns]float64, info *mat.SymDense, grad *mat.VecDense) {
	d := t.off(u)
	for j, w := range t.weight {
		grad.SetVec(j, grad.AtVec(j)+w*d/t.sd)
		for k := j; k < alleyUnknowns; k++ {
			info.SetSym(j, k, info.At(j, k)+w*t.weight[k]/(t.sd*t.sd))
		}
	}
}

// against is what the row spacing and the board's place say against a pair of
// lines that feet stand on, a half of squared standard deviations; nothing
// against lines that are not seen.
func (s AlleyScene) against(left, right footLine, centreM float64) float64 {
	var cost float64
	half := func(off, sd float64) { cost += off * off / (2 * sd * sd) }
	spacingSD := rowSpacingRelSD * s.RowSpacingM
	l, r := left.sdM > 0, right.sdM > 0
	switch {
	case l && r:
		half((right.atM-left.atM)/2-centreM, boardCentreSDM)
		if s.RowSpacingM > 0 {
			half(left.atM+right.atM-s.RowSpacingM, spacingSD)
		}
	case l && s.RowSpacingM > 0:
		half(left.atM-s.RowSpacingM/2+centreM, math.Hypot(boardCentreSDM, spacingSD/2))
	case r && s.RowSpacingM > 0:
		half(right.atM-s.RowSpacingM/2-centreM, math.Hypot(boardCentreSDM, spacingSD/2))
	}
	return cost
}
