package calibrate

const (
	// bendHeldSD holds K1 where the lens's own calibration, or the straight lens that
	// phones make of theirs, has it.
	bendHeldSD = 1e-4
	// bendFreeSD is one standard deviation of K1 for a lens that plainly bends.
	bendFreeSD = 0.03
	// bendStraightSD is what may be left of it in a picture that seems straight: half
	// a percent at the corner, r = 0.75 (common practice). bendKnownSD is a calibrated lens's.
	bendStraightSD, bendKnownSD = 0.01, 0.002
	// bendGain: K1 is let free only where the matches then lie this much nearer to
	// their lines, and bendLeastMatches of them must say so: few and scattered ones
	// bend a straight lens (seen on pairs of cmd/wideset, seed 101).
	bendGain, bendLeastMatches = 0.85, 200
)

// bent lets K1 free where the matches ask for it: a step whose pictures are bent at
// the edges passes for a longer or shorter step, by a tenth for K1 = -0.04. Without
// need it stays, since it and the turn between the photos look alike where matches
// are few; what may be left of it is in the covariance.
func (p *pairProblem) bent(held *PairPose) *PairPose {
	if p.first.cam.Spread != nil {
		p.bendSD = bendKnownSD
		return held
	}
	all, sdPx := p.matches, p.sdPx
	p.bendSD = bendFreeSD
	free := p.narrowed(held)
	if free.Matches >= bendLeastMatches && free.MatchSDPx < bendGain*held.MatchSDPx {
		return free
	}
	p.matches, p.sdPx, p.bendSD = all, sdPx, bendStraightSD
	return held
}
