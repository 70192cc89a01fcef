package main

import (
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// The story. Lantern Gully is an orchard that does not exist: two blocks of
// avocado trees, photographed after harvest (visit one) and again five weeks on,
// when the worst trees had been pruned and the others left. The place is a round
// number of degrees in the subtropics; nothing is meant by it.
const (
	latitudeDeg, longitudeDeg = -26.0, 152.0
	zoneName                  = "Australia/Brisbane"
	zoneHours                 = 10
	visitBefore, visitAfter   = "2026-08-20", "2026-09-24"
	boardNumber               = 3
)

// orchardFile is the demo's orchard.toml.
const orchardFile = `# An invented orchard, laid out by demoorchard. Its photos are rendered.
name = "Lantern Gully (invented)"

[place]
latitude_deg = -26.0
longitude_deg = 152.0
time_zone = "Australia/Brisbane"

[crop]
name = "avocado"

[plan]
follow_up_paid = true

[plan.hours_per_tree]
# The invented grower's own.
limb_removal = 1.5
frame = 2.0
columns = 3.0
hedging = 0.2

[[blocks]]
key = "b1"
name = "Gate block"
habit = "vigorous"
rows = 2
trees_per_row = 3
row_spacing_m = 7.5
tree_spacing_m = 5.0
row_direction_deg = 8
first_tree_latitude_deg = -26.0
first_tree_longitude_deg = 152.0
harvest_ends = "08-10"
flowering_begins = "09-25"

[[blocks]]
key = "b2"
name = "Creek block"
habit = "open"
rows = 2
trees_per_row = 4
row_spacing_m = 6.5
tree_spacing_m = 4.5
row_direction_deg = 352
first_tree_latitude_deg = -26.0
first_tree_longitude_deg = 152.0006
harvest_ends = "04-10"
flowering_begins = "09-20"
`

// marksFile is the demo's marks.csv.
const marksFile = `block,row,tree,mark,since,until,note
b2,1,3,power_line,,,low wire over the end of the row
`

// measuredFile is the demo's measured.csv: an alley too narrow to photograph.
const measuredFile = `block,row,tree,visit,quantity,value_m,uncertainty_m,note
b2,2,2,` + visitBefore + `,clear_alley,%.2f,0.10,too narrow to stand back for a photo
`

// plant is one tree of the story.
type plant struct {
	heightM, baseM  float64
	alongM, acrossM float64 // half widths
	form            scene.Form
	leafAreaM2      float64
	// pruned says what had been taken off by the second visit; nil for nothing.
	pruned func(c cut) bool
}

// cut is a place in a crown, from the trunk's foot: along the row, toward the
// alley (negative: away from it), up.
type cut struct{ along, alley, up float64 }

// planting is a block of the story.
type planting struct {
	key                       string
	rowSpacingM, treeSpacingM float64
	directionDeg              float64
	firstDegEast              float64 // of row 1 tree 1 from the demo's longitude
	rows                      [][]plant
}

// story returns the two blocks.
func story() []planting {
	return []planting{
		{key: "b1", rowSpacingM: 7.5, treeSpacingM: 5.0, directionDeg: 8, rows: gateBlock()},
		{key: "b2", rowSpacingM: 6.5, treeSpacingM: 4.5, directionDeg: 352, firstDegEast: 0.0006, rows: creekBlock()},
	}
}

func gateBlock() [][]plant {
	usual := plant{5.2, 0.7, 2.5, 2.2, scene.Round, 62, nil}
	tall := plant{7.2, 0.5, 2.8, 3.0, scene.Hedge, 190, func(c cut) bool {
		window := c.alley > 0.2 && c.along < 0.6 && c.along > -0.9 && c.up > 1.4
		return c.up > 5.0 || window
	}}
	shouldered := plant{5.6, 0.9, 2.5, 2.9, scene.Shoulder, 88, func(c cut) bool {
		return c.alley > 1.9 || c.alley < -2.1 || c.up > 5.0
	}}
	dense := plant{5.5, 0.4, 2.7, 2.6, scene.Hedge, 125, func(c cut) bool {
		return c.along > 0.3 && c.along < 1.5 && c.up > 1.2
	}}
	open := plant{4.4, 0.6, 2.2, 1.9, scene.Cone, 34, nil}
	bare := plant{5.4, 2.1, 2.4, 2.3, scene.Round, 58, nil}
	return [][]plant{{usual, tall, shouldered}, {dense, open, bare}}
}

func creekBlock() [][]plant {
	good := plant{4.2, 0.5, 2.0, 1.8, scene.Cone, 30, nil}
	fair := plant{4.6, 0.6, 2.2, 2.0, scene.Round, 44, nil}
	trimmed := func(c cut) bool { return c.alley > 1.7 }
	wide := plant{5.2, 0.5, 2.3, 2.75, scene.Hedge, 92, trimmed}
	wider := plant{5.0, 0.4, 2.3, 2.65, scene.Hedge, 84, trimmed}
	high := plant{6.0, 0.8, 2.2, 2.1, scene.Round, 70, nil}
	return [][]plant{{good, wide, high, fair}, {fair, wider, good, good}}
}

// skipAlley names the alley that was taped, not photographed, at visit one.
func skipAlley(t orchard.TreeID, visit string) bool {
	return visit == visitBefore && t == orchard.TreeID{Block: "b2", Row: 2, Tree: 2}
}

// starts is when a visit's first photo was taken: before noon, the sun over 45
// degrees high.
func starts(visit string) time.Time {
	day, err := time.ParseInLocation("2006-01-02", visit, time.FixedZone(zoneName, zoneHours*3600))
	if err != nil {
		panic(err) // the two constants above
	}
	return day.Add(10*time.Hour + 52*time.Minute)
}
