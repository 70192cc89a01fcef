package plan

import (
	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// Schema is what plan.json says of itself.
const Schema = "rowlight-plan/1"

// Plan is a visit's prune plan, the body of plan.json.
type Plan struct {
	Schema   string   `json:"schema"`
	Version  string   `json:"version"`
	Orchard  string   `json:"orchard"`
	Visit    string   `json:"visit"`
	Settings string   `json:"settings"`
	MaxHours *float64 `json:"hours_limit,omitempty"`
	MaxTrees *int     `json:"trees_limit,omitempty"`
	Starts   string   `json:"starts,omitempty"`
	Year     Limits   `json:"year"`
	Regrowth Regrowth `json:"regrowth"`
	Site     *Site    `json:"site,omitempty"`

	Trees       []Tree           `json:"trees"`
	Left        []Tree           `json:"left"`
	Maintenance []Tree           `json:"maintenance"`
	Apart       []Apart          `json:"apart"`
	Unmeasured  []orchard.TreeID `json:"unmeasured"`
	Hours       *float64         `json:"hours,omitempty"`
	Rounds      []Round          `json:"rounds"`
	Seasons     []Season         `json:"seasons"`
	Cautions    []string         `json:"cautions"`
	Notes       []string         `json:"notes"`
}

// Limits are the least and the most share of the canopy to take in a year.
type Limits struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Regrowth is the share of leaf that grows back in a year.
type Regrowth struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	From string  `json:"from"` // "the default range", "12 trees of your own photos", ...
}

// Share is a share, 0..1, with its 95 % interval.
type Share struct {
	Value  float64 `json:"value"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

func shareOf(e metrics.Estimate) Share { return Share{e.Value, e.Low95, e.High95} }

// Site is the site factor: what a window's clearing really brings of its light.
type Site struct {
	Share
	From string `json:"from"`
}

// Tree is one tree's part of the plan.
type Tree struct {
	ID       orchard.TreeID `json:"id"`
	Order    int            `json:"order,omitempty"`
	Rank     int            `json:"rank"`
	RankLow  int            `json:"rank_low"`
	RankHigh int            `json:"rank_high"`
	Score    float64        `json:"score"`
	Light    *Light         `json:"light,omitempty"`
	DarkCore *Share         `json:"dark_core_fraction,omitempty"`
	ThisYear ThisYear       `json:"this_year"`
	Places   []Place        `json:"places"`
	Options  []Choice       `json:"options"`
	RuledOut []Choice       `json:"ruled_out"`
	Cautions []string       `json:"cautions"`
	Hours    *float64       `json:"hours,omitempty"`
	Photo    string         `json:"photo,omitempty"`
	Picture  string         `json:"picture,omitempty"`

	due    bool // a main cut
	staged bool // the top comes down over more than one year
	places []metrics.CutPlace
}

// Light is what the floor under a tree asks for.
type Light struct {
	// SunlitFraction is as measured under the tree itself.
	SunlitFraction Share `json:"sunlit_fraction_zenith20"`
	// Weighed is the same drawn toward the block's mean by what the data can tell
	// (metrics.Score); all below rests on it. nil: on the measured share alone.
	Weighed  *Share        `json:"sunlit_fraction_zenith20_weighed,omitempty"`
	From     string        `json:"from"` // "the floor", "the sky overhead"
	Met      bool          `json:"met"`
	Unsure   bool          `json:"unsure"`
	Bound    bool          `json:"bound"`
	Thinning Share         `json:"thinning_leaf_fraction"`
	Window   Share         `json:"window_sky_fraction"`
	WithSite *Share        `json:"site_sky_fraction,omitempty"`
	Seasons  *SeasonsAhead `json:"seasons,omitempty"`
	Paths    []Path        `json:"paths,omitempty"`

	median metrics.Seasons
	never  bool
}

// Counted is the share that the plan rests on.
func (l *Light) Counted() Share {
	if l.Weighed != nil {
		return *l.Weighed
	}
	return l.SunlitFraction
}

// SeasonsAhead is how many years of even thinning it takes, in words: "4", "over 12",
// "never".
type SeasonsAhead struct {
	Low95       string  `json:"low95"`
	Median      string  `json:"median"`
	High95      string  `json:"high95"`
	NeverChance float64 `json:"never_chance"`
}

// Path is even thinning year by year under one regrowth.
type Path struct {
	Regrowth float64 `json:"regrowth"`
	Reached  bool    `json:"reached"`
	Years    []Year  `json:"years"`
}

// Year is one year of a path: sunlit share before and after, share of leaf cut.
type Year struct {
	Before float64 `json:"before"`
	Cut    float64 `json:"cut"`
	After  float64 `json:"after"`
}

// ThisYear is the share of the leaf to take this year: from a window well placed to
// even thinning.
type ThisYear struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	Say  string  `json:"say"`
	// Expect is the floor's sunlit share after it, where the floor is short of light.
	Expect *Expect `json:"expect_sunlit_fraction_zenith20,omitempty"`
}

// Expect is a range of shares.
type Expect struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Place is one place to cut.
type Place struct {
	Kind    string   `json:"kind"`
	Side    string   `json:"side,omitempty"` // an alley's: "left" or "right" of the row seen from its tree 1
	Face    string   `json:"face,omitempty"` // of the side photo: metrics.NearFace or FarFace
	LowM    float64  `json:"low_m"`
	HighM   float64  `json:"high_m"`
	SizeM   float64  `json:"size_m"`
	Outline *float64 `json:"outline_fraction,omitempty"`
	Sure    bool     `json:"sure"`
	Say     string   `json:"say"`
}

// Apart is a tree that is not ranked.
type Apart struct {
	ID      orchard.TreeID `json:"id"`
	Reasons []string       `json:"reasons"`
	Advice  string         `json:"advice,omitempty"`
}

// Round is a follow-up round.
type Round struct {
	DaysAfter int    `json:"days_after"`
	From      string `json:"from,omitempty"` // day the first trees are due
	Do        string `json:"do"`
}

// Season is when a block is pruned.
type Season struct {
	Block string `json:"block"`
	From  string `json:"from,omitempty"`
	Until string `json:"until,omitempty"`
	Say   string `json:"say"`
}
