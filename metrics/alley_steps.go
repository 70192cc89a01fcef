package metrics

// alleyModel is the rows and the crown at one set of unknowns, laid out for the sights
// and looks that are held against them.
type alleyModel struct {
	crown           crown
	rows            [2]crossing
	spacingM        float64
	perTree         float64 // 1 / spacingM
	cameraM         float64
	yaw, sunX, sunY float64
	sun             [sunSteps]sunLayer
	sunLowM         float64 // where the lowest of them begins
	sunStepM        float64 // between those, upward
	// sunBase and sunTop are what that step grows by for a unit more of the unknowns.
	sunBase, sunTop float64
	// lowBase and lowTop are the same of the layers' lower end.
	lowBase, lowTop float64
	// What face works out of the above for all looks: from the leftmost to the rightmost
	// layer, half depths; the way through one, m; and what density adds to its slopes.
	sunLeft, sunRight           float64
	sunLengthM                  float64
	perBase, perTop, perX, perY float64
	// How the crown's base and top, m, follow their unknowns: a top held up by the
	// base is the base's.
	baseByBase, topByBase, topByTop float64
}

// crossing is the steps that sights across a row of crowns are summed over.
type crossing struct {
	side, lineM, firstM float64
	stepM               float64
	lineMoves           float64             // 1, or 0 where the line is held at its least
	outM, outSteps      [crossSteps]float64 // outward of the camera, the same in steps
	from                int                 // the first step of which a share counts
	// share of each step lies before the camera's own line; lineShare and depthShare
	// are its slopes.
	share, lineShare, depthShare [crossSteps]float64
	plan                         [crossSteps]float64 // (across / half depth)^2
}

func newCrossing(r *alleyRow, halfDepthM float64) (s crossing) {
	s.side, s.lineM, s.firstM, s.lineMoves = r.side, r.lineM, r.firstM, 1
	s.stepM = 2 * crossReach * halfDepthM / crossSteps
	for i := range s.share {
		x := crossReach * ((2*float64(i)+1)/crossSteps - 1)
		s.plan[i], s.outM[i] = x*x, r.lineM+x*halfDepthM
		s.outSteps[i] = s.outM[i] / s.stepM
		s.share[i] = 0.5 + s.outSteps[i]
		switch {
		case s.share[i] >= 1:
			s.share[i] = 1
		case s.share[i] <= 0:
			s.share[i], s.from = 0, i+1
		default:
			s.lineShare[i], s.depthShare[i] = 1/s.stepM, -r.lineM/s.stepM
		}
	}
	return s
}
