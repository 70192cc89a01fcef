package compare

import "rowlight/internal/orchard"

// Schema is what compare.json says of itself.
const Schema = "rowlight-compare/1"

// Result is the body of compare.json.
type Result struct {
	Schema   string        `json:"schema"`
	Version  string        `json:"version"`
	Orchard  string        `json:"orchard"`
	Before   string        `json:"before"`
	After    string        `json:"after"`
	Headline string        `json:"headline"`
	Yearly   Limits        `json:"yearly"`
	Target   float64       `json:"target_sunlit_fraction"`
	Blocks   []BlockChange `json:"blocks"`
	Trees    []TreeChange  `json:"trees"`
	Notes    []string      `json:"notes"`
}

// Limits are the share of the canopy to take in a year.
type Limits struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Value is a number with its 95 % interval.
type Value struct {
	Value  float64 `json:"value"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

// Change is one quantity of one tree, before and after.
type Change struct {
	Quantity orchard.Quantity `json:"quantity"`
	Unit     string           `json:"unit"`
	Before   Value            `json:"before"`
	After    Value            `json:"after"`
	Diff     Value            `json:"difference"`
	// Smallest is the least difference that would have been seen.
	Smallest float64 `json:"smallest_seen"`
	Seen     bool    `json:"seen"` // the interval leaves 0 out
}

// MeanChange is the mean of a quantity's change over a block's trees.
type MeanChange struct {
	Quantity orchard.Quantity `json:"quantity"`
	Unit     string           `json:"unit"`
	Trees    int              `json:"trees"`
	Controls int              `json:"controls,omitempty"`
	Value
	Smallest float64 `json:"smallest_seen"`
	Seen     bool    `json:"seen"`
	// Against tells that the untouched trees' own change has been taken off.
	Against bool `json:"against_control,omitempty"`
	// Sun is set where the sun stood so much higher at one visit that no verdict is
	// given without untouched trees.
	Sun bool `json:"sun_differs,omitempty"`
}

// BlockChange is one block.
type BlockChange struct {
	Block    string       `json:"block"`
	Compared int          `json:"trees"`
	Cut      int          `json:"cut"`
	Changes  []MeanChange `json:"changes"`
	Say      []string     `json:"say,omitempty"`
}

// Verdict is what became of a tree.
type Verdict string

// The verdicts.
const (
	Cut       Verdict = "cut"
	NoChange  Verdict = "no change seen"
	Grown     Verdict = "filled up"
	NoVerdict Verdict = "no verdict"
	Untouched Verdict = "untouched" // named as a control
	Felled    Verdict = "felled"
	Missing   Verdict = "missing" // no photo at one of the visits
)

// Outside is where a number lies against a limit.
type Outside string

// The sides of a limit.
const (
	Under  Outside = "under"
	Within Outside = "within"
	Over   Outside = "over"
	Open   Outside = "open" // the interval holds the limit
)

// TreeChange is one tree.
type TreeChange struct {
	ID      orchard.TreeID `json:"id"`
	Verdict Verdict        `json:"verdict"`
	Say     string         `json:"say"` // the verdict in a grower's words
	// LeafRemoved is the share of leaf area gone; by the side's gaps, by the
	// floor's light, or both.
	LeafRemoved    *Value `json:"leaf_removed_fraction,omitempty"`
	LeafBySide     *Value `json:"leaf_removed_by_side,omitempty"`
	LeafByFloor    *Value `json:"leaf_removed_by_floor,omitempty"`
	OutlineRemoved *Value `json:"outline_removed_fraction,omitempty"`
	Bared          *Bared `json:"bared_wood,omitempty"`
	// Yearly is where the removed share lies against the yearly limits, Target
	// whether the floor's light has reached its own: "over" is reached.
	Yearly  Outside  `json:"yearly,omitempty"`
	Target  Outside  `json:"target,omitempty"`
	Changes []Change `json:"changes"`
	Plan    *Planned `json:"plan,omitempty"`
	// Why lists what keeps a number back, in a grower's words.
	Why []string `json:"no_verdict,omitempty"`
	// SwappedWith is the tree whose photo this visit's seems to be.
	SwappedWith *orchard.TreeID `json:"swapped_with,omitempty"`
	// Check says how the two side photos were laid on each other.
	Check    string    `json:"registration,omitempty"`
	Pictures []Picture `json:"pictures,omitempty"`
}

// Bared is wood that leaves no longer hide.
type Bared struct {
	AreaM2 float64 `json:"area_m2"` // as seen from the side
	// SunlitFraction of it was in the sun when photographed: nil where not told.
	SunlitFraction *float64 `json:"sunlit_fraction,omitempty"`
	Paint          bool     `json:"paint"`
}

// Planned is what plan.json asked for and what was done.
type Planned struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	Say  string  `json:"say"`
	Done Outside `json:"done"`
}

// Picture is a pair of pictures of one kind of shot, paths from the page.
type Picture struct {
	Kind    orchard.Kind `json:"kind"`
	Before  string       `json:"before"`
	After   string       `json:"after"`
	Width   int          `json:"width_px"`
	Height  int          `json:"height_px"`
	Aligned bool         `json:"aligned"` // the second is laid on the first
}

// find returns a quantity's change, or nil.
func (t *TreeChange) find(q orchard.Quantity) *Change {
	for i := range t.Changes {
		if t.Changes[i].Quantity == q {
			return &t.Changes[i]
		}
	}
	return nil
}
