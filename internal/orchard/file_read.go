package orchard

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// What an orchard file may hold at most: far above any orchard, low enough that a
// slip of the keyboard (rows = 60000000) cannot fill the memory.
const (
	maxFileBytes = 1 << 20
	maxTextLen   = 200
	maxKeyLen    = 24 // of a block: it stands in file names and on cards
	maxRows      = 1000
	maxRowTrees  = 1000
	maxTrees     = 100000
	maxBlocks    = 1000
)

// Defaults of the board set-up; 0.300 m and 1.5 m are the board's own design.
const (
	DefaultStandHeightM = 0.300
	DefaultFloorRadiusM = 1.5
	// DefaultCardGap: a scout photographs a tree's three shots within a few
	// minutes of its card; half an hour leaves room for a break (common practice).
	DefaultCardGap = 30 * time.Minute
)

// keyForm is what a block's key may look like.
const keyForm = `[A-Za-z0-9]+(?:[-_][A-Za-z0-9]+)*`

// Parse reads an orchard file's text; name stands in the messages. What is wrong
// comes as Problems: every problem at once, or the first where the text is no TOML.
func Parse(name string, data []byte) (*Orchard, error) {
	data = bytes.TrimPrefix(data, []byte(byteOrderMark))
	if len(data) > maxFileBytes {
		return nil, Problems{{File: name, What: fmt.Sprintf("is %d bytes long", len(data)), Mend: "this is no orchard file; rowlight init writes one to begin with"}}
	}
	var of map[string]any
	if err := toml.Unmarshal(data, &of); err != nil {
		return nil, syntaxProblem(name, err)
	}
	doc := &document{name: name, lines: linesOf(data)}
	o := readOrchard(&table{doc: doc, of: of})
	if err := doc.sorted().Err(); err != nil {
		return nil, err
	}
	return o, nil
}

// byteOrderMark is what some editors put before the text.
const byteOrderMark = "\uFEFF"

func syntaxProblem(name string, err error) Problems {
	p := Problem{File: name, What: err.Error(), Mend: "mend this line; a text stands in \"quotation marks\", a number does not, and each key stands once"}
	var at *toml.DecodeError
	if errors.As(err, &at) {
		p.Line, _ = at.Position()
		p.What = strings.TrimPrefix(at.Error(), "toml: ")
	}
	return Problems{p}
}

func readOrchard(t *table) *Orchard {
	o := &Orchard{Name: t.text("name", "")}
	if o.Name == "" && t.of["name"] == nil {
		t.refuse("name", "name is not given", "add name = \"...\", the orchard's name, above the first [table]")
	}
	o.Place = readPlace(t.sub("place"))
	o.Crop = readCrop(t.sub("crop"), t.sub("targets"))
	o.Board = readBoard(t.sub("board"))
	o.Cards = readCards(t.sub("cards"))
	o.Weights = readWeights(t.sub("weights"))
	o.Plan = readPlan(t.sub("plan"))
	o.Blocks = readBlocks(t)
	t.done()
	return o
}

func readPlace(t *table) Place {
	p := Place{
		LatDeg:     t.number("latitude_deg", math.NaN(), span{-90, 90, "degrees from -90 to 90, south negative"}),
		LonDeg:     t.number("longitude_deg", math.NaN(), span{-180, 180, "degrees from -180 to 180, west negative"}),
		TimeZone:   t.text("time_zone", ""),
		ElevationM: t.maybe("elevation_m", span{-430, 6000, "metres above the sea, -430 to 6000"}),
	}
	p.Zone = readZone(t, p)
	t.done()
	return p
}

// maxZoneGapH is how far a zone's clock may lie from the sun's, hours. The widest
// in use is about 3 h (western China, from memory); more is a slip of the
// longitude's sign.
const maxZoneGapH = 4.5

func readZone(t *table, p Place) *time.Location {
	const mend = "give a zone by its IANA name, as \"Africa/Nairobi\""
	if p.TimeZone == "" {
		if v := t.of["time_zone"]; v == nil || v == "" {
			t.refuse("time_zone", "time_zone is not given", mend)
		}
		return time.UTC
	}
	zone, err := time.LoadLocation(p.TimeZone)
	if err != nil || p.TimeZone == "Local" {
		t.refuse("time_zone", fmt.Sprintf("time_zone %q is not known", p.TimeZone), mend)
		return time.UTC
	}
	if strings.Contains(p.TimeZone, "/") && !strings.HasPrefix(p.TimeZone, "Etc/") && !math.IsNaN(p.LonDeg) {
		// Any day will do: summer time moves it by an hour.
		_, offset := time.Date(2025, time.January, 1, 0, 0, 0, 0, zone).Zone()
		if gap := math.Remainder(float64(offset)/3600-p.LonDeg/15, 24); math.Abs(gap) > maxZoneGapH {
			t.refuse("longitude_deg", fmt.Sprintf("longitude_deg %g does not lie in time zone %s", p.LonDeg, p.TimeZone), "check its sign, west is negative, and the zone")
		}
	}
	return zone
}

// share is a share of something, above 0 and below 1.
func share(example string) span { return span{1e-6, 1, "a share between 0 and 1, as " + example} }

func readCrop(crop, t *table) Crop {
	d := DefaultTargets()
	c := Crop{Name: crop.text("name", "avocado"), Targets: Targets{
		FloorSunlitFraction: t.number("floor_sunlit_fraction", d.FloorSunlitFraction, share("0.20")),
		ClearAlleyM:         t.number("clear_alley_m", d.ClearAlleyM, span{0.1, 20, "metres between 0.1 and 20, as 2.5"}),
		HeightLimitM:        t.number("height_limit_m", d.HeightLimitM, span{0.5, 40, "metres between 0.5 and 40, as 5"}),
		HeightToRowSpacing:  t.number("height_to_row_spacing", d.HeightToRowSpacing, span{0.1, 10, "a ratio between 0.1 and 10, as 0.8"}),
		HeightToClearAlley:  t.number("height_to_clear_alley", d.HeightToClearAlley, span{0.1, 20, "a ratio between 0.1 and 20, as 2.0"}),
		YearlyRemovalLow:    t.number("yearly_removal_low_fraction", d.YearlyRemovalLow, share("0.15")),
		YearlyRemovalHigh:   t.number("yearly_removal_high_fraction", d.YearlyRemovalHigh, share("0.25")),
	}}
	if c.Targets.YearlyRemovalLow > c.Targets.YearlyRemovalHigh {
		t.refuse("yearly_removal_low_fraction", fmt.Sprintf("yearly_removal_low_fraction %g is above yearly_removal_high_fraction %g", c.Targets.YearlyRemovalLow, c.Targets.YearlyRemovalHigh), "give the lower one first, as 0.15 and 0.25")
	}
	crop.done()
	t.done()
	return c
}

func readBoard(t *table) Board {
	b := Board{
		StandHeightM: t.number("stand_height_m", DefaultStandHeightM, span{0, 3, "metres from the ground to the board's bottom edge, 0 to 3, as 0.3"}),
		RulerBarMM:   t.number("ruler_bar_mm", RulerBarNominalMM, span{50, 150, "the length of the printed 100 mm ruler bar in millimetres, as 99.5"}),
		FloorRadiusM: t.number("floor_radius_m", DefaultFloorRadiusM, span{0.3, 10, "metres between 0.3 and 10, as 1.5"}),
	}
	t.done()
	return b
}

func readCards(t *table) Cards {
	min := t.number("max_gap_min", DefaultCardGap.Minutes(), span{0.1, 1440, "minutes between 0.1 and 1440, as 30"})
	c := Cards{
		MaxGap:     time.Duration(min * float64(time.Minute)),
		SideBoards: readBoardNumbers(t, "side_boards"), AlleyBoards: readBoardNumbers(t, "alley_boards"),
	}
	for _, n := range c.SideBoards {
		if slices.Contains(c.AlleyBoards, n) {
			t.refuse("side_boards", fmt.Sprintf("board %d is in side_boards and in alley_boards", n), "keep each board for one of the two")
		}
	}
	t.done()
	return c
}

// lastBoard is the highest number a survey board has.
const lastBoard = 24

func readBoardNumbers(t *table, key string) []int {
	const mend = "a list of board numbers from 0 to 24, as [1, 2]"
	switch v := t.get(key).(type) {
	case nil:
	case []any:
		return t.wholes(key, v, 0, lastBoard, mend)
	default:
		t.wrongType(key, v, mend)
	}
	return nil
}

func readWeights(t *table) Weights {
	d := DefaultWeights()
	s := span{0, 1000, "a weight from 0 to 1000, as 20; 0 leaves the part out"}
	w := Weights{
		Floor:  t.number("floor", d.Floor, s),
		Height: t.number("height", d.Height, s),
		Alley:  t.number("alley", d.Alley, s),
		Shape:  t.number("shape", d.Shape, s),
	}
	if w.Sum() == 0 {
		t.refuse("", "all weights are 0, which ranks nothing", "give at least one of floor, height, alley, shape a weight above 0")
	}
	t.done()
	return w
}

// keyPattern is keyForm and nothing else.
func keyPattern() *regexp.Regexp { return regexp.MustCompile(`^` + keyForm + `$`) }
