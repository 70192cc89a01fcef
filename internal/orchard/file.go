package orchard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
	_ "time/tzdata" // zones by name on machines that carry none
)

// FileName is the orchard file's name within the orchard folder.
const FileName = "orchard.toml"

// Orchard is what the orchard file says. Every value has been checked.
type Orchard struct {
	Name    string
	Place   Place
	Crop    Crop
	Blocks  []Block
	Board   Board
	Cards   Cards
	Weights Weights
	Plan    Plan
	Lenses  []Lens // from rowlight lens; empty where none was calibrated
}

// Place is where the orchard lies; the sun is worked out from it where a photo
// carries no place or zone of its own.
type Place struct {
	LatDeg     float64 // WGS 84, north positive, -90..90
	LonDeg     float64 // east positive, -180..180
	TimeZone   string  // IANA name, "Africa/Nairobi"
	Zone       *time.Location
	ElevationM *float64 // above sea level; nil where not given
}

// Crop is the crop profile: whose targets they are, and the targets.
type Crop struct {
	Name    string // "avocado"
	Targets Targets
}

// Habit is how a variety grows.
type Habit string

// The habits.
const (
	Vigorous Habit = "vigorous" // upright and fast, closes in
	Open     Habit = "open"     // slower, stays open
)

// Block is one planting: rows of trees at one spacing.
type Block struct {
	Key      string // short name in file names and on cards: "b1"
	Name     string // in the grower's words; the key where none is given
	Habit    Habit
	Cultivar string // as the grower writes it; may be empty
	// Rows are the row numbers in walking order, each at least 1.
	Rows []int
	// RowTrees is how many tree places each of Rows has, missing trees counted.
	RowTrees     []int
	RowSpacingM  float64 // trunk line to trunk line
	TreeSpacingM float64 // trunk to trunk along the row
	// RowDirectionDeg is the true bearing of a row from tree 1 on, 0..360.
	RowDirectionDeg float64
	// NextRowLeft: higher row numbers lie to the left, not the right, of one who
	// looks along the row from tree 1.
	NextRowLeft bool
	// FirstTree is tree 1 of the lowest row number; nil where not given.
	FirstTree *LatLon
	Missing   []TreeID // places where no tree stands
	// The block is pruned between these two; nil where not given.
	HarvestEnds, FloweringBegins *YearDay
}

// LatLon is a place on the ground in degrees, WGS 84, north and east positive.
type LatLon struct{ LatDeg, LonDeg float64 }

// Board is how the survey boards are set up and printed.
type Board struct {
	StandHeightM float64 // an upright board's bottom edge above the ground
	RulerBarMM   float64 // the printed 100 mm ruler bar as measured
	FloorRadiusM float64 // floor within this of the board's centre is judged
}

// Scale returns printed length over nominal, 1 for a true print.
func (b Board) Scale() float64 { return b.RulerBarMM / RulerBarNominalMM }

// RulerBarNominalMM is how long the board's ruler bar is drawn.
const RulerBarNominalMM = 100.0

// Cards is how tree cards are used.
type Cards struct {
	// MaxGap is the longest time from a card's photo to a photo it places.
	MaxGap time.Duration
	// SideBoards stand upright at trunks only, AlleyBoards in alleys only: a photo
	// that a card places takes its kind from them.
	SideBoards, AlleyBoards []int
}

// Weights is the most each part can give to a tree's priority. They need not
// add up to 100; at least one is above 0.
type Weights struct {
	Floor  float64 `json:"floor"`
	Height float64 `json:"height"`
	Alley  float64 `json:"alley"`
	Shape  float64 `json:"shape"`
}

// Sum returns the weights added up, above 0.
func (w Weights) Sum() float64 { return w.Floor + w.Height + w.Alley + w.Shape }

// Load reads the orchard file of an orchard folder. What is wrong with the file's
// content comes as Problems, all of it at once.
func Load(dir string) (*Orchard, error) {
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no %s: name the orchard's folder, or begin one with: rowlight init %s", dir, FileName, dir)
	}
	if err != nil {
		return nil, fmt.Errorf("orchard: read %s: %w", FileName, err)
	}
	o, err := Parse(FileName, data)
	if err != nil {
		return nil, err
	}
	o.Lenses, err = LoadLenses(dir)
	return o, err
}
