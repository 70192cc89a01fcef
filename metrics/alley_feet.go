package metrics

import "math"

const (
	// Trees of a row stand within footOffM of its line and footAlongM of even
	// spacing (one standard deviation; planting by hand, trunks that lean).
	footOffM, footAlongM = 0.12, 0.20
	// footAheadRel: a foot's distance is as good as its pixel and the level line:
	// at 10 m, 0.4 degrees are 0.45 m, common to all feet; the rest is less.
	footAheadRel = 0.02
	// Rows of trees wide enough apart for a person and no farther than a machine
	// alley with full crowns to each side.
	rowNearM, rowFarM = 0.6, 5.5
	// Trees stand at least this and at most that far apart in the row (common
	// practice: 1.5 m in close hedgerows, 8 m in old orchards).
	spacingLeastM, spacingMostM = 1.5, 8.0
	// spacingRelSD: how well a spacing from the orchard file holds at a place.
	spacingRelSD = 0.05
	// footLeastScore: fainter signs are leaves and shade.
	footLeastScore = 0.35
	// footMostScore caps a single foot's say: three faint ones in line weigh as
	// much as one plain one.
	footMostScore = 3.0
	// boardCentreSDM is how well a board is set on the alley's centre line by eye.
	boardCentreSDM = 0.20
	// rowLeastScore is the least sum of scores that makes a row's line.
	rowLeastScore = 1.0
	// The rows' heading against the vanishing point found in the photo: looked
	// for out to 4.5 degrees, in steps that move a foot 8 m ahead by 4 cm.
	headingMost, headingStep = 0.08, 0.005
	// spacingLeastGain is the evidence (in plain trunks on the lattice beyond
	// chance) from which trees' places count as known.
	spacingLeastGain = 1.5
	defaultSpacingM  = 3.0
)

// placeTrees finds each row's line and the even spacing of its trees from the
// trunks' feet.
func (a *Alley) placeTrees() {
	a.SpacingM = a.scene.TreeSpacingM
	lo, hi := spacingLeastM, spacingMostM
	if a.SpacingM > 0 {
		lo, hi = a.SpacingM*(1-2*spacingRelSD), a.SpacingM*(1+2*spacingRelSD)
	}
	best := 0.0
	var spacing float64
	var first [2]float64
	for p := lo; p <= hi; p *= 1.008 {
		var gain float64
		var at [2]float64
		for k := range a.rows {
			g, f := a.bestPhase(k, p)
			gain, at[k] = gain+g, f
		}
		if gain > best {
			best, spacing, first = gain, p, at
		}
	}
	if best < spacingLeastGain {
		a.SpacingM = a.scene.TreeSpacingM
		if a.SpacingM <= 0 {
			a.SpacingM = defaultSpacingM
		}
		return
	}
	a.SpacingM = spacing
	for k := range a.rows {
		a.rows[k].firstM, a.rows[k].known = first[k], true
		for _, f := range a.rowFeet(k) {
			if math.Abs(offLattice(f.AheadM, first[k], spacing)) < 2*footAlong(f) {
				a.FeetSeen++
			}
		}
	}
}

func footAlong(f AlleyFoot) float64 { return math.Hypot(footAlongM, footAheadRel*f.AheadM) }

func offLattice(y, first, spacing float64) float64 {
	return y - first - spacing*math.Round((y-first)/spacing)
}

// rowFeet are the plain feet near a row's line.
func (a *Alley) rowFeet(k int) []AlleyFoot {
	var out []AlleyFoot
	r := a.rows[k]
	if a.rowSDM[k] == 0 {
		return nil
	}
	for _, f := range a.scene.Feet {
		if f.Score >= footLeastScore && math.Abs(f.RightM*r.side-r.lineM) < 3*footOffM {
			out = append(out, f)
		}
	}
	return out
}

// bestPhase finds where the trees of a row stand at a given spacing: the most
// score of feet on the lattice beyond what chance would lay there.
func (a *Alley) bestPhase(k int, spacing float64) (gain, first float64) {
	feet := a.rowFeet(k)
	for y := 0.0; y < spacing; y += 0.1 {
		var g float64
		for _, f := range feet {
			sd := footAlong(f)
			d := offLattice(f.AheadM, y, spacing) / sd
			chance := math.Sqrt(2*math.Pi) * sd / spacing
			g += math.Min(f.Score, footMostScore) * (math.Exp(-d*d/2) - math.Min(chance, 1))
		}
		if g > gain {
			gain, first = g, y
		}
	}
	return gain, first
}

// headRows finds the two rows' lines and true heading, and turns the scene so
// that the rows run straight ahead: the heading and the pair of lines on which
// the most feet stand, kept near the vanishing point's heading and near to being
// as far to the left as to the right of the board, which stands on the alley's
// centre line.
func (a *Alley) headRows() {
	best, heading := math.Inf(-1), 0.0
	for h := -headingMost; h <= headingMost; h += headingStep {
		d := h / priorYawSD
		feet := turnedFeet(a.scene.Feet, h)
		if score, _, _ := a.bestLines(feet, h); score-d*d/2 > best {
			best, heading = score-d*d/2, h
		}
	}
	a.turn(heading)
	_, left, right := a.bestLines(a.scene.Feet, 0)
	a.rows[0], a.rowSDM[0] = alleyRow{side: -1, lineM: left.atM}, left.sdM
	a.rows[1], a.rowSDM[1] = alleyRow{side: 1, lineM: right.atM}, right.sdM
	a.mirrorRow()
}

// mirrorRow gives a row without feet the other's line, mirrored at the board. A
// known row spacing says it better.
func (a *Alley) mirrorRow() {
	if a.scene.RowSpacingM > 0 {
		return
	}
	for k := range a.rows {
		seen := a.rowSDM[1-k] > 0 && a.rowSDM[k] == 0
		if at := a.rows[1-k].lineM + 2*a.scene.BoardRightM*a.rows[k].side; seen && at > rowNearM {
			a.rows[k].lineM, a.mirrored[k] = at, true
		}
	}
}

// bestLines is the best pair of rows' lines, with the board turned by heading.
func (a *Alley) bestLines(feet []AlleyFoot, heading float64) (score float64, left, right footLine) {
	centre := a.scene.BoardRightM - heading*a.scene.BoardAheadM
	lines := [2][]footLine{footLines(feet, -1), footLines(feet, 1)}
	for _, l := range lines[0] {
		for _, r := range lines[1] {
			if s := l.score + r.score - a.scene.against(l, r, centre); s > score {
				score, left, right = s, l, r
			}
		}
	}
	return score, left, right
}

// turn turns the scene so that what lay heading (metres to the right for each
// ahead) off the axis lies on it.
func (a *Alley) turn(heading float64) {
	a.headingRad += heading
	a.scene.BoardRightM -= heading * a.scene.BoardAheadM
	a.scene.Feet = turnedFeet(a.scene.Feet, heading)
	rays := make([]AlleyRay, len(a.scene.Rays))
	for i, r := range a.scene.Rays {
		rays[i] = AlleyRay{r.Right - heading, r.Up, r.Canopy}
	}
	a.scene.Rays = rays
}

func turnedFeet(feet []AlleyFoot, heading float64) []AlleyFoot {
	out := make([]AlleyFoot, len(feet))
	for i, f := range feet {
		out[i] = AlleyFoot{f.RightM - heading*f.AheadM, f.AheadM, f.Score}
	}
	return out
}

// footLine is a line along the alley that feet stand on; sdM 0: none is seen.
type footLine struct{ atM, sdM, score float64 }

// footLines are the lines that feet of one side stand on, and, last, the line
// that is not seen.
func footLines(feet []AlleyFoot, side float64) []footLine {
	var out []footLine
	for x := rowNearM; x <= rowFarM; x += 0.03 {
		var sum float64
		for _, f := range feet {
			d := (f.RightM*side - x) / footOffM
			if f.Score >= footLeastScore && math.Abs(d) < 3 {
				sum += math.Min(f.Score, footMostScore) * math.Exp(-d*d/2)
			}
		}
		if sum >= rowLeastScore {
			out = append(out, footLine{x, math.Hypot(0.03, footOffM/math.Sqrt(sum)), sum})
		}
	}
	return append(out, footLine{})
}
