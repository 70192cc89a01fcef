package pipeline

import (
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/sideview"
)

// SideLook is a side photo kept whole, for laying another beside it.
type SideLook struct {
	Photo *vision.Photo
	Tree  *metrics.SideTree
	view  *sideview.View
	scene *sideScene
}

// LookSide measures a side photo as far as its tree. The error is an *Unusable,
// a *vision.FileError, or a fault.
func LookSide(data []byte, env Env) (look *SideLook, err error) {
	defer guard(&err)
	photo, err := vision.Decode(data)
	if err != nil {
		return nil, err
	}
	shot, _, err := prepare(photo, orchard.Side, env)
	if err != nil {
		return nil, err
	}
	pose, err := sidePose(shot)
	if err != nil {
		return nil, err
	}
	scene := newSideScene(shot, pose)
	view := sideview.Look(photo, scene.hints())
	tree, err := metrics.FindSideTree(scene.plane(view, shot.Set))
	if err != nil {
		return nil, err
	}
	return &SideLook{photo, tree, view, scene}, nil
}

// DistanceM is how far the camera stood from the row's plane.
func (l *SideLook) DistanceM() float64 {
	_, _, d := l.scene.camera()
	return d
}

// EnvFor is what is known of a photo of an orchard's tree before it is opened.
func EnvFor(o *orchard.Orchard, tree *orchard.TreeID) Env {
	return Env{Set: settingsFor(o, tree), Place: &Place{LatDeg: o.Place.LatDeg, LonDeg: o.Place.LonDeg}, Zone: o.Place.Zone, NumbersOnly: true}
}
