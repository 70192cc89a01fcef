package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/alleyview"
)

const (
	// pairSightStep: every second pixel to each side is a sight; neighbours say
	// nothing new.
	pairSightStep = 2
	sightPx       = pairSightStep * pairSightStep
	// pairPatchLeast is the fewest pixels of a patch that is worth handing on.
	pairPatchLeast = 20
	// leafClusterM: leaves hang in clusters this large; a larger patch is several
	// findings.
	leafClusterM = 0.25
	// boardClearM is kept free around the boards, and boardDeepM before and behind
	// them: their outlines bleed into what is matched beside them.
	boardClearM, boardDeepM = 0.25, 0.45
)

// measureAlleyPair lays two photos of one alley together.
func measureAlleyPair(first, second Shot) (*alleyPair, error) {
	scene, view, err := newAlleyScene(first)
	if err != nil {
		return nil, err
	}
	look, err := lookAtPair(first, second, scene.number, first.alleyPose())
	if err != nil {
		return nil, err
	}
	scene = scene.withPair(first, look.pose)
	faces, err := metrics.FindFaces(&metrics.PairAlley{
		CameraHeightM: scene.cameraM, BoardRightM: scene.boardXM, BoardAheadM: scene.boardYM,
		Sights: scene.pairSights(view, look),
	})
	if err != nil {
		return nil, err
	}
	return &alleyPair{scene, view, look, faces}, nil
}

// withPair is the scene as the pair's pose has it.
func (c *alleyScene) withPair(s Shot, pose *calibrate.PairPose) *alleyScene {
	main := pose.First
	return sceneOf(s, c.boards, main, main.Camera.Ray(c.vanishing))
}

// pairSights are the sights of the first photo whose ends are known.
func (c *alleyScene) pairSights(v *alleyview.View, l *pairLook) []metrics.PairSight {
	var out []metrics.PairSight
	for y := 0; y < l.disp.H; y += pairSightStep {
		for x := 0; x < l.disp.W; x += pairSightStep {
			if s, ok := c.pairSight(v, l, x, y); ok {
				out = append(out, s)
			}
		}
	}
	return out
}

func (c *alleyScene) pairSight(v *alleyview.View, l *pairLook, x, y int) (s metrics.PairSight, ok bool) {
	i := y*l.disp.W + x
	if !l.seen[i] {
		return s, false
	}
	at := calibrate.Pixel{X: float64(x), Y: float64(y)}
	px, _ := l.rect.FirstPixel(at)
	class, ok := v.AtPhoto(px)
	if !ok || class == alleyview.Board {
		return s, false
	}
	sight := l.rect.Sight(at)
	ahead := sight.Dot(c.ahead)
	if ahead < 0.1 {
		return s, false
	}
	s.Right, s.Up = sight.Dot(c.right)/ahead, sight.Dot(c.up)/ahead
	if class == alleyview.Sky {
		s.AheadM = math.Inf(1)
		return s, true
	}
	d := float64(l.disp.V[i])
	if math.IsNaN(d) || l.patch[i] < pairPatchLeast {
		return s, false
	}
	s.AheadM = l.rect.DepthM(d) * ahead
	cluster := leafClusterM / l.rect.DepthM(d) * l.rect.Camera.FPx
	s.PatchPx, s.ClusterPx = float64(l.patch[i])/sightPx, cluster*cluster/sightPx
	s.Canopy = true
	return s, !c.nearBoard(s)
}

// nearBoard tells whether a sight ends at one of the boards or its fringe.
func (c *alleyScene) nearBoard(s metrics.PairSight) bool {
	z := c.cameraM + s.Up*s.AheadM
	for _, b := range c.boards {
		x, y := c.place(b)
		if math.Abs(s.AheadM-y) < boardDeepM && math.Abs(s.Right*s.AheadM-x) < sheetM/2+boardClearM &&
			z > c.standM-boardClearM && z < c.standM+sheetHeightM+boardClearM {
			return true
		}
	}
	return false
}
