package report

import (
	"slices"
	"time"

	"rowlight/internal/orchard"
)

// Options is what the report needs beside the visit's result.
type Options struct {
	Layout  Layout
	Targets Targets
	// GeneratedAt is printed as it is, in its own zone; zero prints nothing.
	GeneratedAt time.Time
	// OverlayBase is the relative URL from report.html to the folder that the
	// records' Overlay paths start from; empty where they start beside it.
	OverlayBase string
	// OverlaySize gives an overlay's width and height in pixels, so that the
	// page does not jump while photos load; ok is false where the overlay
	// cannot be read, and the page says so. Nil: sizes unknown, all shown.
	OverlaySize func(overlay string) (widthPx, heightPx int, ok bool)

	part   *part              // of the orchard that the page is about; nil for all
	within map[string]picture // by overlay: pictures that the page holds; nil where they lie beside it
}

// Layout is the orchard as it is walked.
type Layout struct {
	Blocks []Block
}

// Block is one block's rows and trees. Zero means not known.
type Block struct {
	Key  string // as in orchard.TreeID
	Name string // as people call it; the key where empty
	// Rows are the row numbers, RowTrees how many tree places each of them has.
	Rows, RowTrees            []int
	Missing                   []orchard.TreeID // places where no tree stands
	RowSpacingM, TreeSpacingM float64
	// RowBearingDeg is the compass bearing of walking a row from tree 1
	// upwards, clockwise from true north; nil where not known.
	RowBearingDeg *float64
	// NextRowLeft is set where higher row numbers lie to the left on that walk.
	NextRowLeft bool
	// HeightLimitM is the block's height target after all rules.
	HeightLimitM float64
}

// Targets are the orchard's own, as the priority was reckoned with. A zero is
// left out of the page.
type Targets struct {
	SunlitFraction     float64 // of the floor under the trees, at a solar zenith of 20 degrees
	ClearWidthM        float64 // across the alley
	HeightM            float64 // the most, before the two ratios
	HeightToRow        float64 // height over row spacing, the most
	HeightToClear      float64 // height over clear alley, the most
	RemovalLow         float64 // yearly share of the canopy, from
	RemovalHigh        float64 // to
	FloorRadiusM       float64 // floor within this of the board is judged
	ReferenceZenithDeg float64 // solar zenith the floor share is normalised to
}

// block returns the layout's block of a key, or one that knows only its key.
func (l Layout) block(key string) Block {
	for _, b := range l.Blocks {
		if b.Key == key {
			return b
		}
	}
	return Block{Key: key}
}

func (b Block) title() string {
	if b.Name != "" {
		return b.Name
	}
	return b.Key
}

// places returns how many tree places a row has, 0 for a row that is not there.
func (b Block) places(row int) int {
	if i := slices.Index(b.Rows, row); i >= 0 && i < len(b.RowTrees) {
		return b.RowTrees[i]
	}
	return 0
}

// stands tells whether the layout has a tree at a place.
func (b Block) stands(id orchard.TreeID) bool {
	return id.Tree >= 1 && id.Tree <= b.places(id.Row) && !slices.Contains(b.Missing, id)
}

// trees counts the block's trees.
func (b Block) trees() int {
	n := -len(b.Missing)
	for _, t := range b.RowTrees {
		n += t
	}
	return n
}
