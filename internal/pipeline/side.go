package pipeline

import (
	"fmt"
	"math"
	"sort"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

const (
	// sideCellM is the row's plane's raster: a tenth of a leaf.
	sideCellM = 0.01
	// sideReachM and sideTopM bound the plane about the board: half a row of
	// trees to each side, and above the tallest orchard tree.
	sideReachM, sideTopM = 4.5, 10.0
	// uprightMostTiltDeg: a board that leans more than this away from the
	// camera's plumb is not standing.
	uprightMostTiltDeg = 35.0
	// rolledMostDeg: a board turned in its plane by more is upside down or on
	// its side; a stand pushed in by hand is within 15.
	rolledMostDeg = 30.0
	// markerLeastPx: under this side of a marker its corners' 0.3 px leave more
	// than 1 % on every length (0.3 sqrt 2 over the sheet's four sides).
	markerLeastPx = 10.0
	// darkLimit is the 95th percentile of linear light under which leaves cannot
	// be told from wood: an eighth of middle grey.
	darkLimit = 0.02
	// skyLeast is the least share of open sky over the horizon from which the
	// sky's colour is learned.
	skyLeast = 0.005
)

// measureSide measures the tree at the board of a side photo.
func measureSide(s Shot) (ShotResult, error) {
	pose, err := sidePose(s)
	if err != nil {
		return ShotResult{}, err
	}
	scene := newSideScene(s, pose)
	hints := scene.hints()
	view := sideview.Look(s.Photo, hints)
	if view.Light < darkLimit {
		return ShotResult{}, &metrics.Unusable{
			Reason: fmt.Sprintf("too dark: the bright parts reach %.1f %% of full light, %.0f %% needed", 100*view.Light, 100*darkLimit),
			Mend:   "take it by day with the exposure turned up",
		}
	}
	plane := scene.plane(view, s.Set)
	plane.Ground = scene.ground(s, view, hints)
	tree, err := metrics.FindSideTree(plane)
	if err != nil {
		return ShotResult{}, err
	}
	if view.SkySeed < skyLeast && tree.CutTop {
		return ShotResult{}, &metrics.Unusable{
			Reason: "no sky over the tree: its outline cannot be seen",
			Mend:   "step back until the whole tree is in the picture with sky over it",
		}
	}
	return sideResult(s, scene, view, tree), nil
}

// sidePose solves the upright board with the height a phone is held at.
func sidePose(s Shot) (*calibrate.BoardPose, error) {
	n, seen, err := nearestBoard(s)
	if err != nil {
		return nil, err
	}
	if px := markerSidePx(seen); px < markerLeastPx {
		return nil, &metrics.Unusable{
			Reason: fmt.Sprintf("board %d is too far off: its markers are %.0f px wide, %.0f needed", n, px, markerLeastPx),
			Mend:   "step closer or take the photo at full resolution without zooming out",
		}
	}
	pose, err := calibrate.SolveBoard(s.Camera, seen, sidePoseOptions(s))
	if err != nil {
		return nil, fmt.Errorf("pipeline: side: %w", err)
	}
	return pose, standing(pose, n)
}

// sidePoseOptions is what is known of the board of a side photo besides its corners.
func sidePoseOptions(s Shot) calibrate.PoseOptions {
	held := calibrate.HeldPhone(s.Set.StandHeightM) // in the board's nominal lengths:
	k := printScale(s)
	held.MeanM, held.SDM, held.StandM = held.MeanM/k, held.SDM/k, held.StandM/k
	return calibrate.PoseOptions{BoardScaleRelSD: s.Set.BoardScaleRelSD, CameraHeightPrior: held}
}

// nearestBoard is the board with the largest markers: the one at the tree.
func nearestBoard(s Shot) (int, []calibrate.MarkerSighting, error) {
	numbers := make([]int, 0, len(s.Boards))
	for n := range s.Boards {
		numbers = append(numbers, n)
	}
	sort.Ints(numbers)
	best, most := -1, 0.0
	for _, n := range numbers {
		if px := markerSidePx(s.Boards[n]); px > most {
			best, most = n, px
		}
	}
	if best < 0 {
		return 0, nil, &metrics.Unusable{Reason: "no board found", Mend: "stand the board upright at the trunk, facing the camera, and see that no leaf covers it"}
	}
	return best, s.Boards[best], nil
}

// markerSidePx is the markers' mean side.
func markerSidePx(seen []calibrate.MarkerSighting) float64 {
	var sum float64
	for _, m := range seen {
		for i := range 4 {
			sum += m.Corners[i].Dist(m.Corners[(i+1)%4])
		}
	}
	if len(seen) == 0 {
		return 0
	}
	return sum / float64(4*len(seen))
}

// standing refuses a board that is upside down, on its side, or lying.
func standing(b *calibrate.BoardPose, n int) error {
	down := b.R.Col(1)
	if roll := math.Abs(math.Atan2(down[0], down[1])) * 180 / math.Pi; roll > rolledMostDeg {
		return &metrics.Unusable{
			Reason: fmt.Sprintf("board %d is turned by %.0f degrees, %.0f allowed", n, roll, rolledMostDeg),
			Mend:   "stand the board with its text the right way up and its bottom edge level",
		}
	}
	if lean := math.Abs(b.PitchDeg()); lean > uprightMostTiltDeg {
		return &metrics.Unusable{
			Reason: fmt.Sprintf("board %d leans %.0f degrees from the camera's plane, %.0f allowed: it lies or the camera looks far up or down", n, lean, uprightMostTiltDeg),
			Mend:   "stand the board upright on its stake at the trunk and hold the camera level",
		}
	}
	return nil
}
