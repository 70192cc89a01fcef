package calibrate

import (
	"math"
	"math/rand/v2"
)

const (
	// sampleMatches of a random sample, one more than the five unknowns of the
	// relative pose, and how many samples are tried: with half of the matches wrong
	// one sample in 64 is all right, and 300 miss them all once in a hundred.
	sampleMatches, sampleCount = 6, 300
	// sampleSDPx is how far a few matches may pull the boards' corners.
	sampleSDPx = 0.5
	// agreePx: a match nearer to its line than this agrees with a sample's pose.
	agreePx = 2.0
	// sampleSeed makes the same photos give the same numbers.
	sampleSeed = 4
)

// start looks for the pose that most matches agree with, from random samples of
// a few (Fischler and Bolles 1981), each solved together with the boards' corners,
// which keep a sample of near neighbours from running away.
func (p *pairProblem) start(cur *PairPose) *PairPose {
	p.sdPx = sampleSDPx
	all := p.matches
	defer func() { p.matches = all }()
	p.matches = nil
	cur = p.refine(cur)
	if len(all) < leastMatches {
		return cur
	}
	best, least := cur, disagreement(cur, all)
	rng := rand.New(rand.NewPCG(sampleSeed, sampleSeed))
	for range sampleCount {
		p.matches = p.matches[:0]
		for range sampleMatches {
			p.matches = append(p.matches, all[rng.IntN(len(all))])
		}
		q := p.refine(cur)
		if d := disagreement(q, all); d < least {
			best, least = q, d
		}
	}
	return best
}

// disagreement is the matches' squared distances from their lines in units of
// agreePx, each counted as 1 at most.
func disagreement(q *PairPose, all []Match) float64 {
	e := newEpipolar(q)
	var sum float64
	for _, m := range all {
		d := e.distancePx(m) / agreePx
		sum += math.Min(1, d*d)
	}
	return sum
}
