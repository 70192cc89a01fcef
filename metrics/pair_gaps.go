package metrics

import "math"

const (
	// thinSDM: where a piece of wall shows no leaf of its own in both photos there may
	// be a gap between two trees, and the face falls back by a part of a crown's depth.
	// thinFindings is how soon leaves say otherwise. From the errors by findings on
	// pairs of cmd/wideset, seeds 101 and 41.
	thinSDM, thinFindings = 0.75, 2.5
	// seenFindings: with fewer in both walls a width would be a guess from other metres.
	seenFindings = 0.5
)

// thin is how little a piece of wall shows of itself: 1 for no leaf, toward 0 for many.
func (f *PairFaces) thin(k, from, to int) float64 {
	return math.Exp(-f.own(k, from, to) / thinFindings)
}

// backShare of a wall's spread is how far a metre without a leaf of its own stands
// back: it is where crowns stand back most that none shows. A whole spread serves the
// single trees of cmd/wideset (seeds 101, 302) better, and reads the board's place on
// practice_alley 2 cm worse than none; half of it does well by both.
const backShare = 0.5

// back is how far a piece of wall stands back for showing few leaves.
func (f *PairFaces) back(k, from, to int) float64 {
	from, to = metreAbout(from, to)
	return backShare * f.profile[k].spreadM * f.thin(k, from, to)
}

// metreAbout widens a piece of wall to a metre.
func metreAbout(from, to int) (int, int) {
	mid := (from + to) / 2
	return min(from, mid-metreHalf), max(to, mid+metreHalf)
}

// own is a piece of wall's own findings.
func (f *PairFaces) own(k, from, to int) float64 {
	var l layers
	for i := max(0, from); i < min(pairSlices, max(to, from+1)); i++ {
		l.add(f.walls[k].slice(i))
	}
	return l.findings()
}

// opened lets a width's upper end go out where its walls are thin: a gap only makes
// the alley wider. The value stays: moved out by a part of it, hedges came out too
// wide (practice_alley_01 and 05).
func (e Estimate) opened(thin ...float64) Estimate {
	up := (e.High95 - e.Value) / Z95
	for _, t := range thin {
		up = math.Hypot(up, thinSDM*t)
	}
	e.High95 = e.Value + Z95*up
	return e
}

// SeenBetween tells whether either wall shows a leaf of its own over a stretch of
// alley, metres ahead.
func (f *PairFaces) SeenBetween(fromM, toM float64) bool {
	from, to := sliceAt(fromM), sliceAt(toM)
	return f.own(0, from, to) >= seenFindings || f.own(1, from, to) >= seenFindings
}

// SeenAtBoard is the same beside the board.
func (f *PairFaces) SeenAtBoard() bool {
	return f.SeenBetween(f.boardM-boardSliceM, f.boardM+boardSliceM)
}
