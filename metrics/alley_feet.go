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
	// footLineStepM is how far apart lines are tried: a quarter of footOffM.
	footLineStepM = 0.03
	// rowLeastScore is the least sum of scores that makes a row's line.
	rowLeastScore = 1.0
	// The rows' heading against the vanishing point found in the photo: looked
	// for out to 4.5 degrees, in steps that move a foot 8 m ahead by 4 cm.
	headingMost, headingStep = 0.08, 0.005
	// spacingLeastGain is the evidence (in plain trunks on the lattice beyond
	// chance) from which trees' places count as known.
	spacingLeastGain = 1.5
	defaultSpacingM  = 3.0
	// Of spacings that fit the feet about as well, those near the middle of common
	// practice are likelier, and those that leave no place without its trunk: a
	// hidden or missed trunk costs as much as a faint one gives.
	spacingMidM, spacingLogSD = 3.5, 0.45
	missingFoot               = 0.35
	footNearM, footFarM       = 4.0, 13.0
)

// placeTrees finds each row's line and the even spacing of its trees from the
// trunks' feet. It returns the evidence for them.
func (a *Alley) placeTrees() float64 {
	a.SpacingM = a.scene.TreeSpacingM
	lo, hi := spacingLeastM, spacingMostM
	if a.SpacingM > 0 {
		lo, hi = a.SpacingM*(1-2*spacingRelSD), a.SpacingM*(1+2*spacingRelSD)
	}
	best := 0.0
	var spacing float64
	var first [2]float64
	feet := [2][]AlleyFoot{a.rowFeet(0), a.rowFeet(1)}
	for p := lo; p <= hi; p *= 1.008 {
		var gain float64
		var at [2]float64
		for k := range a.rows {
			g, f := a.bestPhase(feet[k], p)
			gain, at[k] = gain+g, f
		}
		if d := math.Log(p/spacingMidM) / spacingLogSD; gain > 0 {
			gain -= d * d / 2
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
		return 0
	}
	a.SpacingM = spacing
	for k := range a.rows {
		a.rows[k].firstM, a.rows[k].known = first[k], true
		for _, f := range feet[k] {
			if math.Abs(offLattice(f.AheadM, first[k], spacing)) < 2*footAlong(f) {
				a.FeetSeen++
			}
		}
	}
	return best
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

// missing counts the places of a lattice from footNearM to footFarM ahead at
// which no foot shows.
func (a *Alley) missing(feet []AlleyFoot, first, spacing float64) (n float64) {
	for y := first + spacing*math.Ceil((footNearM-first)/spacing); y < footFarM; y += spacing {
		seen := 0.0
		for _, f := range feet {
			if math.Abs(f.AheadM-y) < 2*footAlong(f) {
				seen = math.Max(seen, math.Min(f.Score, 1))
			}
		}
		n += 1 - seen
	}
	return n
}

// bestPhase finds where the trees of a row stand at a given spacing: the most
// score of feet on the lattice beyond what chance would lay there.
func (a *Alley) bestPhase(feet []AlleyFoot, spacing float64) (gain, first float64) {
	type sign struct{ atM, perSD, score float64 }
	signs := make([]sign, len(feet))
	var chance, perSpacing = 0.0, 1 / spacing // chance: what feet anywhere would score
	for i, f := range feet {
		sd := footAlong(f)
		signs[i] = sign{f.AheadM, 1 / sd, math.Min(f.Score, footMostScore)}
		chance += signs[i].score * math.Min(math.Sqrt(2*math.Pi)*sd*perSpacing, 1)
	}
	for y := 0.0; y < spacing; y += 0.1 {
		g := -chance
		for _, f := range signs {
			d := f.atM - y
			d = (d - spacing*math.Floor(d*perSpacing+0.5)) * f.perSD
			g += f.score * a.exp.of(-d*d/2)
		}
		if g <= gain { // and places without a foot only take from it
			continue
		}
		if g -= missingFoot * a.missing(feet, y, spacing); g > gain {
			gain, first = g, y
		}
	}
	return gain, first
}

// turn turns the scene so that what lay heading (metres to the right for each
// ahead) off the axis lies on it.
func (a *Alley) turn(heading float64) {
	a.headingRad += heading
	a.scene.BoardRightM -= heading * a.scene.BoardAheadM
	a.scene.Feet = turnedFeet(a.scene.Feet, heading)
	floor := make([]AlleyFloorLook, len(a.scene.Floor))
	for i, l := range a.scene.Floor {
		floor[i] = AlleyFloorLook{l.RightM - heading*l.AheadM, l.AheadM, l.Shade}
	}
	a.scene.Floor = floor
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
	var lines []footLine
	for x := rowNearM; x <= rowFarM; x += footLineStepM {
		lines = append(lines, footLine{atM: x})
	}
	for _, f := range feet {
		if f.Score < footLeastScore {
			continue
		}
		at := f.RightM * side
		for i := max(0, int((at-3*footOffM-rowNearM)/footLineStepM)-1); i < len(lines); i++ {
			d := (at - lines[i].atM) / footOffM
			if d <= -3 {
				break
			}
			if d < 3 {
				lines[i].score += math.Min(f.Score, footMostScore) * math.Exp(-d*d/2)
			}
		}
	}
	out := lines[:0]
	for _, l := range lines {
		if l.score >= rowLeastScore {
			l.sdM = math.Hypot(footLineStepM, footOffM/math.Sqrt(l.score))
			out = append(out, l)
		}
	}
	return append(peaks(out), footLine{})
}

// peaks keeps of lines next to each other the one with the most score.
func peaks(lines []footLine) []footLine {
	var out []footLine
	for i, l := range lines {
		best := true
		for j := max(0, i-6); j < min(len(lines), i+7) && best; j++ {
			o := lines[j]
			best = math.Abs(o.atM-l.atM) > 1.5*footOffM || o.score < l.score || o.score == l.score && j >= i
		}
		if best {
			out = append(out, l)
		}
	}
	return out
}
