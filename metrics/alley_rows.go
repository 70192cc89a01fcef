package metrics

import (
	"math"
	"sort"
)

// rowGuess is a pair of lines on which the rows may stand, with their heading
// (metres to the right for each ahead).
type rowGuess struct {
	headingRad  float64
	left, right footLine
	score       float64
}

const (
	// guessesMost pairs of lines are fitted; a pair whose feet speak for it less than
	// the best's by more than guessLeastBelow is none.
	guessesMost     = 3
	guessLeastBelow = 5.0
	// Pairs nearer to each other than this in both lines are one.
	guessApartM = 0.30
	// guessPlain: with feet as plain as these, that no foot is a trunk's need not be
	// looked into.
	guessPlain = 14.0
)

// rowGuesses are the pairs of lines on which the most feet stand, kept near the
// vanishing point's heading and near to being as far to the left as to the right of
// the board, which stands on the alley's centre line; best first.
func rowGuesses(s AlleyScene) []rowGuess {
	var all []rowGuess
	for h := -headingMost; h <= headingMost; h += headingStep {
		d := h / priorYawSD
		feet := turnedFeet(s.Feet, h)
		centre := s.BoardRightM - h*s.BoardAheadM
		right := footLines(feet, 1)
		for _, l := range footLines(feet, -1) {
			for _, r := range right {
				if score := l.score + r.score - s.against(l, r, centre) - d*d/2; score > 0 {
					all = append(all, rowGuess{h, l, r, score})
				}
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].score > all[j].score })
	return apart(all)
}

// apart keeps the best of guesses that are alike, and that no foot is a trunk's
// where the feet are not plain.
func apart(all []rowGuess) []rowGuess {
	var out []rowGuess
	for _, g := range all {
		if len(out) == guessesMost || g.score < all[0].score-guessLeastBelow {
			break
		}
		fresh := true
		for _, o := range out {
			if g.left.like(o.left) && g.right.like(o.right) {
				fresh = false
			}
		}
		if fresh {
			out = append(out, g)
		}
	}
	if len(out) == 0 || out[0].score < guessPlain {
		out = append(out, rowGuess{})
	}
	return out
}

func (l footLine) like(o footLine) bool {
	return (l.sdM > 0) == (o.sdM > 0) && math.Abs(l.atM-o.atM) < guessApartM
}

// stand puts the rows where a guess has them.
func (a *Alley) stand(g rowGuess) {
	a.turn(g.headingRad)
	for k, l := range [2]footLine{g.left, g.right} {
		a.rows[k] = alleyRow{side: float64(2*k - 1), lineM: l.atM}
		if a.rowSDM[k] = 0; l.sdM > 0 {
			a.rowSDM[k] = math.Hypot(l.sdM, footScaleRel*l.atM)
		}
	}
}

// footScaleRel: half a degree of the level line moves all feet out or in alike, 4 %
// at 7 m.
const footScaleRel = 0.03
