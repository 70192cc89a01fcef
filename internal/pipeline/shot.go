// Package pipeline takes one photo from file to record, and runs many of them:
// bounded, resumable, cancellable.
package pipeline

import (
	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/vision"
)

// Shot is a decoded photo with what is known around it, ready to be measured.
type Shot struct {
	Photo  *vision.Photo
	Kind   orchard.Kind
	Camera calibrate.Camera                   // calibrated, or EXIF's prior; at the photo's full size
	Boards map[int][]calibrate.MarkerSighting // markers by board number
	Sun    *Sun                               // nil where time or place is unknown
	Set    ShotSettings
	// NumbersOnly leaves out the overlay, a fifth of the work.
	NumbersOnly bool
}

// Sun is where the sun stood when the photo was taken.
type Sun struct {
	ElevationDeg float64 // above the horizon, refraction included
	AzimuthDeg   float64 // from true north, clockwise
}

// ShotSettings are the orchard's settings that a photo's numbers depend on.
type ShotSettings struct {
	FloorRadiusM    float64 // floor within this of the board's centre is judged; 1.5
	StandHeightM    float64 // upright board's bottom edge above the ground; 0.3
	BoardScaleRelSD float64 // error of the print's scale, one SD; 0 the default
	BoardScale      float64 // printed length over nominal (ruler bar / 100 mm); 1
	RowSpacingM     float64 // 0 unknown
	TreeSpacingM    float64 // 0 unknown
}

// ShotResult is what a shot gave.
type ShotResult struct {
	Measurements []orchard.Measurement
	Flags        []string
	// Overlay is the photo with what was measured drawn on it; nil for none.
	Overlay *overlay.Canvas
}
