package pipeline

import (
	"rowlight/calibrate"
	"rowlight/internal/orchard"
)

// DefaultSettings are those of a photo without an orchard file: common practice.
func DefaultSettings() ShotSettings {
	return ShotSettings{FloorRadiusM: 1.5, StandHeightM: calibrate.StandHeightM, BoardScale: 1}
}

// settingsFor are the orchard's for a photo of one tree; nil for no tree.
func settingsFor(o *orchard.Orchard, tree *orchard.TreeID) ShotSettings {
	s := DefaultSettings()
	s.FloorRadiusM = o.Board.FloorRadiusM
	s.StandHeightM = o.Board.StandHeightM
	s.BoardScale = o.Board.Scale()
	if tree != nil {
		s.RowSpacingM = o.RowSpacingM(tree.Block)
		s.TreeSpacingM = o.TreeSpacingM(tree.Block)
	}
	return s
}
