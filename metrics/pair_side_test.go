package metrics

import (
	"errors"
	"math"
	"testing"
)

// screen is a wall of leaves across the line of sight, metres.
type screen struct{ leftM, rightM, lowM, topM, beforeM float64 }

// viewOf draws walls onto the row's plane as the camera sees them, with a depth for
// every third cell.
func viewOf(walls ...screen) (*SidePlane, []SideDepthPoint) {
	p := &SidePlane{W: 700, H: 600, CellM: 0.01, LeftM: -3.5, Kind: make([]SideKind, 700*600), CameraXM: 0.2, CameraHeightM: 1.5, DistanceM: 7}
	var points []SideDepthPoint
	for cell := range p.Kind {
		x, z := p.XM(cell%p.W), p.ZM(cell/p.W)
		p.Kind[cell] = SideSky
		if z < p.CameraHeightM {
			p.Kind[cell] = SideGround
		}
		nearest := math.Inf(-1)
		for _, w := range walls {
			share := (p.DistanceM - w.beforeM) / p.DistanceM
			wx, wz := p.CameraXM+(x-p.CameraXM)*share, p.CameraHeightM+(z-p.CameraHeightM)*share
			if wx > w.leftM && wx < w.rightM && wz > w.lowM && wz < w.topM {
				nearest = math.Max(nearest, w.beforeM)
			}
		}
		if !math.IsInf(nearest, -1) {
			p.Kind[cell] = SideFoliage
			if cell%3 == 0 {
				points = append(points, SideDepthPoint{SidePoint{x, z}, nearest, 1})
			}
		}
	}
	return p, points
}

// A wall of leaves 2 m wide and 4 m high hangs 0.5 m before the row's plane, and the
// next row stands 5 m behind, as high as it and wider: laid level, the one keeps its
// size to within what the trims take off a box (2 % of the width, 0.1 % of the
// height) and a cell or two, and the other is gone. A wall ends at once, and its rim,
// half covered, counts for a third of its middle (ln 2 / 0.5 to -ln 0.02 / 0.98): the
// trims reach three times as far there.
func TestLevelTreeHasItsSizeAndNothingOfTheRowBehind(t *testing.T) {
	view, points := viewOf(screen{-1, 1, 0.5, 4, 0.5}, screen{-2.5, 3, 0.5, 5, -5})
	tree, err := FindLevelTree(view, view.Levelled(points))
	if err != nil {
		t.Fatal(err)
	}
	if h := tree.Height(); math.Abs(h.M-4) > 0.03 {
		t.Errorf("height %.3f m, want 4", h.M)
	}
	if w := tree.Width(); math.Abs(w.M-0.98*2) > 0.04*2+0.02 {
		t.Errorf("width %.3f m, want %.2f", w.M, 0.98*2)
	}
	if b := tree.Base(); math.Abs(b.M-0.5) > 3*0.035+0.02 { // 1 % of 3.5 m over it
		t.Errorf("base %.3f m, want 0.5", b.M)
	}
	for _, w := range tree.Profile() {
		if w.AtM > 0.6 && math.Abs(w.M-0.96*2) > 0.08*2+0.02 { // 2 % off each side
			t.Errorf("width at %.1f m is %.3f m, want %.2f", w.AtM, w.M, 0.96*2)
		}
	}
	if k := tree.KnownShare(); k < 0.5 {
		t.Errorf("%.0f %% of the leaves placed, every third cell and those next to it were given", 100*k)
	}
}

// Beside a near leaf one photo sees alone what stands behind; a matcher gives it the
// leaf's depth, and the photos do not correlate there.
func TestPlacesThatDoNotCorrelateAreNotTheTrees(t *testing.T) {
	view, points := viewOf(screen{-1, 1, 0.5, 4, 0}, screen{-2.5, 3, 0.5, 4, -5})
	for i, q := range points {
		if q.At.XM > 1 && q.At.XM < 1.22 {
			points[i].BeforeM, points[i].Alike = 0, 0.1
		}
	}
	tree, err := FindLevelTree(view, view.Levelled(points))
	if err != nil {
		t.Fatal(err)
	}
	if w := tree.Width(); math.Abs(w.M-0.98*2) > 0.2 { // half of alikeHalfM to a side is smoothed over
		t.Errorf("width %.3f m, want %.2f", w.M, 0.98*2)
	}
}

// A dense half and a half through which half the sky is seen: where c is covered,
// leaves are -ln(1-c) deep (ln 2 for the open half), and not c.
func TestLeafAreaCountsWhatHangsBehind(t *testing.T) {
	view, points := viewOf(screen{-1, 1, 0.5, 4, 0})
	level := view.Levelled(points)
	for cell, k := range level.Kind {
		if i := cell % level.W; k == SideFoliage && level.XM(i) > 0 && (i+cell/level.W)%2 == 0 {
			level.Kind[cell] = SideSky
		}
	}
	tree, err := FindLevelTree(view, level)
	if err != nil {
		t.Fatal(err)
	}
	open := tree.leafAt(level.Row(2)*level.W + level.Column(0.505))
	if open == 0 {
		open = tree.leafAt(level.Row(2)*level.W + level.Column(0.515))
	}
	if want := math.Ln2 / 0.5; math.Abs(open-want) > 0.02 {
		t.Errorf("a leaf of the open half stands for %.3f, want %.3f", open, want)
	}
	dense := tree.leafAt(level.Row(2)*level.W + level.Column(-0.5))
	if want := -math.Log(1-mostCover) / mostCover; math.Abs(dense-want) > 0.01 {
		t.Errorf("a leaf of the dense half stands for %.3f, want %.3f", dense, want)
	}
}

// Cells at the photo's edge keep that when they are laid level.
func TestLevelTreeKnowsThatItIsCutOff(t *testing.T) {
	view, points := viewOf(screen{-1, 1, 0.5, 4, 0.5})
	for cell := range view.Kind {
		if view.ZM(cell/view.W) > 3.5 {
			view.Kind[cell] = SideUnseen
		}
	}
	tree, err := FindLevelTree(view, view.Levelled(points))
	if err != nil {
		t.Fatal(err)
	}
	if !tree.CutTop || tree.CutLeft || tree.CutRight {
		t.Errorf("cut at top %v, left %v, right %v; want the top alone", tree.CutTop, tree.CutLeft, tree.CutRight)
	}
}

func TestLevelTreeOfNoPointsIsNoTree(t *testing.T) {
	view, _ := viewOf(screen{-1, 1, 0.5, 4, 0.5})
	_, err := FindLevelTree(view, view.Levelled(nil))
	var u *Unusable
	if !errors.As(err, &u) {
		t.Errorf("error %v, want an Unusable", err)
	}
}
