package orchard

import "time"

// Kind is what a photo shows.
type Kind string

// The kinds of shot.
const (
	Floor Kind = "floor" // down at the floor under a tree, board flat
	Side  Kind = "side"  // a tree from its side, board upright at the trunk
	Alley Kind = "alley" // down the alley between rows, board upright on its centre line
	// AlleyFloor is a floor photo taken in the alley, outside the trees' shade: a
	// stratum of its own, for the alley's light says nothing of the canopy's.
	AlleyFloor Kind = "alleyfloor"
	Up         Kind = "up" // straight up from under a tree, phone level, no board
)

// TreeID names a tree: block key, row and tree number, both from 1.
type TreeID struct {
	Block string `json:"block"`
	Row   int    `json:"row"`
	Tree  int    `json:"tree"`
}

// Quantity names what was measured. The unit is part of the name.
type Quantity string

// The quantities. A share is 0..1 of what its comment names.
const (
	SunlitFraction       Quantity = "sunlit_fraction"          // of floor area in direct sun, as measured
	SunlitFractionRef    Quantity = "sunlit_fraction_zenith20" // the same at a solar zenith of 20 degrees
	SunlitFractionBinary Quantity = "sunlit_fraction_binary"   // plain thresholded share, a check
	FloorContrast        Quantity = "sun_shade_contrast"       // luminance of lit over shaded floor
	FloorAreaM2          Quantity = "floor_area_m2"            // floor that was judged
	FloorClumping        Quantity = "floor_clumping"           // of the sun over 1 m segments: 1 even dapple, less a few bright holes
	DarkFloorShare       Quantity = "dark_floor_fraction"      // of 1 m segments less than 5 % sunlit
	AlleySunlit          Quantity = "alley_sunlit_fraction"    // of the alley's floor, as measured
	SunAzimuthDeg        Quantity = "sun_azimuth_deg"          // from true north, clockwise
	ShadeShiftM          Quantity = "shade_shift_m"            // how far the tree's shade lay from under it when the floor was photographed
	SunElevationDeg      Quantity = "sun_elevation_deg"
	HeightM              Quantity = "height_m"             // top of the foliage above the ground
	CrownBaseM           Quantity = "crown_base_m"         // lowest foliage above the ground
	CrownWidthM          Quantity = "crown_width_m"        // along the row, widest
	TopToBottomWidth     Quantity = "top_to_bottom_width"  // width of the top third over the bottom third
	ShoulderM            Quantity = "shoulder_m"           // overhang of the widest part above the bottom third, a side
	DensityFraction      Quantity = "density_fraction"     // of the outline filled by foliage
	DensityTop           Quantity = "density_top_fraction" // the same, top third
	DensityMiddle        Quantity = "density_middle_fraction"
	DensityBottom        Quantity = "density_bottom_fraction"
	SkyGapFraction       Quantity = "sky_gap_fraction"      // of the outline through which sky shows
	LargestGapM          Quantity = "largest_gap_m"         // diameter of the largest gap's inscribed circle
	FaceAngleDeg         Quantity = "face_angle_deg"        // of the crown's sides from the vertical, leaning in positive
	WidestAtM            Quantity = "widest_at_m"           // height of the crown's widest part
	WindowCount          Quantity = "window_count"          // openings of about 1 m through the crown
	DarkCoreFraction     Quantity = "dark_core_fraction"    // of the crown's volume deeper than 1 m
	TreeRowVolumeM3Ha    Quantity = "tree_row_volume_m3_ha" // height x width x row length, a hectare
	LeafWallAreaM2Ha     Quantity = "leaf_wall_area_m2_ha"  // both faces of the rows, a hectare
	ExposedSurfaceM2Ha   Quantity = "exposed_surface_m2_ha" // faces and tops of the rows, a hectare
	// Of a photo straight up: shares of its view near the zenith.
	FoliageCover      Quantity = "foliage_cover"                     // covered by leaf and wood
	CrownCover        Quantity = "crown_cover"                       // within the crowns' outlines
	CrownPorosity     Quantity = "crown_porosity"                    // gaps within the crowns' outlines
	ClumpingZenith    Quantity = "clumping_zenith"                   // 1 strewn at random, less gathered
	PlantAreaIndex    Quantity = "plant_area_index"                  // leaf and wood per ground area
	EffectivePAI      Quantity = "effective_plant_area_index"        // the same as if strewn at random
	ExpectedSunlitRef Quantity = "expected_sunlit_fraction_zenith20" // of the floor, from the sky seen
	ClearWidthM       Quantity = "clear_width_m"                     // across the alley at the board, face to face
	ClearLeftM        Quantity = "clear_left_m"                      // from the board's middle to the left wall's face
	ClearRightM       Quantity = "clear_right_m"                     // and to the right wall's
	NarrowestM        Quantity = "narrowest_clear_width_m"
	NarrowestAtM      Quantity = "narrowest_at_m" // distance of the narrowest place from the camera
)

// Measurement is one number with its unit, 95 % interval and where it came
// from, or its absence with the reason. Value, Low95 and High95 are nil together.
type Measurement struct {
	Quantity Quantity `json:"quantity"`
	Unit     string   `json:"unit"` // "1" for shares and ratios, "m", "m2", "deg"
	Value    *float64 `json:"value,omitempty"`
	Low95    *float64 `json:"low95,omitempty"`
	High95   *float64 `json:"high95,omitempty"`
	// AtM is the place of a profile's value: height above ground (side) or
	// distance from the camera (alley), metres; nil for a single value.
	AtM *float64 `json:"at_m,omitempty"`
	// Absent is why there is no value, and what to do about it.
	Absent string `json:"absent,omitempty"`
	// Method is how it was measured: "photo", "tape", "two boards", ...
	Method string   `json:"method,omitempty"`
	Photos []string `json:"photos,omitempty"` // paths within the orchard folder
	Flags  []string `json:"flags,omitempty"`  // short sentences in a grower's words
	// Parts are what the interval is made of; empty where it was not split.
	Parts []ErrorPart `json:"parts,omitempty"`
}

// ErrorPart is one named source of a number's error: one standard deviation in the
// number's unit. The squares of a number's parts add up to its variance.
type ErrorPart struct {
	Name string  `json:"name"` // "corners", "focal length", "board scale", "pose", "segmentation", "depth", "sampling", ...
	SD   float64 `json:"sd"`
}

// Profile quantities, one Measurement a place, AtM set.
const (
	WidthAtHeightM Quantity = "width_at_height_m"
	WindowAtM      Quantity = "window_at_m" // diameter of a window, by its height
	ClearWidthAtM  Quantity = "clear_width_at_m"
	// The same between heights above the ground.
	ClearWidthLowAtM    Quantity = "clear_width_0_1m_at_m"
	ClearWidthMiddleAtM Quantity = "clear_width_1_2m_at_m"
	ClearWidthHighAtM   Quantity = "clear_width_2_3m_at_m"
)

// Status is what became of a photo.
type Status string

// The ends a photo can come to.
const (
	Measured Status = "measured"
	Refused  Status = "refused"  // the photo cannot give the number; says what to retake
	Failed   Status = "failed"   // the file cannot be read, or a fault of ours
	Card     Status = "card"     // a tree card, names the photos after it
	Unplaced Status = "unplaced" // no tree or kind could be found for it
)

// Record is all that is known of one photo; what the store keeps.
type Record struct {
	Path   string `json:"path"`   // within the orchard folder, slashes
	SHA256 string `json:"sha256"` // of the file's bytes
	// Pair holds the paths of the two photos where the record is of both together,
	// its Path both names and its SHA256 of both hashes.
	Pair     []string `json:"pair,omitempty"`
	Visit    string   `json:"visit"`
	Tree     *TreeID  `json:"tree,omitempty"`
	Kind     Kind     `json:"kind,omitempty"`
	PlacedBy string   `json:"placed_by,omitempty"` // "photos.csv", "file name", "tree card"
	// AlleySide tells a tree's two alleys apart: "left" or "right", "" where nothing
	// says which. Of a side photo it is the alley it was taken from.
	AlleySide string `json:"alley_side,omitempty"`
	// TakenAt is nil where the file has no capture time.
	TakenAt *time.Time `json:"taken_at,omitempty"`
	LatDeg  *float64   `json:"lat_deg,omitempty"`
	LonDeg  *float64   `json:"lon_deg,omitempty"`
	// Camera tells cameras apart: make and model as the file has them.
	Camera string `json:"camera,omitempty"`
	// CardTree is the tree whose card is seen in the photo, if any.
	CardTree     *TreeID       `json:"card_tree,omitempty"`
	Boards       []int         `json:"boards,omitempty"`
	Status       Status        `json:"status"`
	Reason       string        `json:"reason,omitempty"`  // why refused, failed, unplaced: with the value and the limit
	Mend         string        `json:"mend,omitempty"`    // what to change before the next photo
	GaveUp       bool          `json:"gave_up,omitempty"` // measuring it crashed, ran out of memory or took too long
	Measurements []Measurement `json:"measurements,omitempty"`
	Overlay      string        `json:"overlay,omitempty"` // within results/<visit>/
	Flags        []string      `json:"flags,omitempty"`
	Settings     string        `json:"settings"` // hash of what the numbers depend on
	Version      string        `json:"version"`
}

// Part is one part of a tree's priority.
type Part struct {
	Name    string  `json:"name"`    // "floor light", "height", "alley", "density"
	Points  float64 `json:"points"`  // of the 0-100
	Weight  float64 `json:"weight"`  // the most it can give
	Reason  string  `json:"reason"`  // "floor 6 % sunlit, target 20 %"
	Missing bool    `json:"missing"` // no measurement; widens the interval
}

// Priority is a tree's place in the order, 0-100, 100 the most urgent.
type Priority struct {
	Score    float64 `json:"score"`
	Low95    float64 `json:"low95"`
	High95   float64 `json:"high95"`
	Rank     int     `json:"rank"`     // 1 first
	RankLow  int     `json:"rank_low"` // 95 % interval of the rank
	RankHigh int     `json:"rank_high"`
	// Tie numbers the group of trees that cannot be told apart, from 1.
	Tie int `json:"tie"`
	// WorstFifth is the chance that the tree is among the most urgent fifth.
	WorstFifth float64 `json:"worst_fifth_chance"`
	Parts      []Part  `json:"parts"`
	// SunlitWeighed is the floor's sunlit share at a zenith of 20 degrees drawn toward
	// its block's mean by what the data can tell, as the priority counts it; nil where
	// the tree has none or the block too few trees to weigh in.
	SunlitWeighed *Weighed `json:"sunlit_fraction_zenith20_weighed,omitempty"`
}

// Weighed is a share, 0..1, drawn toward its block's mean, with its 95 % interval.
type Weighed struct {
	Value  float64 `json:"value"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

// TreeResult is one tree at one visit.
type TreeResult struct {
	ID           TreeID        `json:"id"`
	Measurements []Measurement `json:"measurements"`
	// Priority is nil where nothing of the tree was measured; Unranked says why.
	Priority *Priority `json:"priority,omitempty"`
	Unranked string    `json:"unranked,omitempty"`
	LatDeg   *float64  `json:"lat_deg,omitempty"`
	LonDeg   *float64  `json:"lon_deg,omitempty"`
	Photos   []string  `json:"photos,omitempty"`
	Missing  []Kind    `json:"missing,omitempty"` // shots that were not taken or not usable
	// MoreFloorPhotos is how many more floor photos would bring the sunlit share
	// to plus and minus 5 points, by the spread seen under this tree; nil where
	// one floor photo or none leaves it open.
	MoreFloorPhotos *int     `json:"more_floor_photos,omitempty"`
	Flags           []string `json:"flags,omitempty"`
}

// BlockMean is the mean of one quantity over a block's measured trees, with the
// 95 % interval that the trees' spread gives: the trees are the sample, not the
// photos. Low95 and High95 are nil for a single tree.
type BlockMean struct {
	Block    string   `json:"block"`
	Quantity Quantity `json:"quantity"`
	Unit     string   `json:"unit"`
	Value    float64  `json:"value"`
	Low95    *float64 `json:"low95,omitempty"`
	High95   *float64 `json:"high95,omitempty"`
	Trees    int      `json:"trees"`
	Photos   int      `json:"photos"`
	// ICC is the share of the photos' variance that lies between trees; nil where
	// no tree has two photos.
	ICC *float64 `json:"icc,omitempty"`
}

// VisitResult is what one run over one visit gives, the body of results.json.
type VisitResult struct {
	Schema   string       `json:"schema"` // "rowlight-results/1"
	Version  string       `json:"version"`
	Tools    *Tools       `json:"tools,omitempty"`
	Settings string       `json:"settings"`
	Used     *Used        `json:"settings_used,omitempty"`
	Orchard  string       `json:"orchard"` // its name
	Visit    string       `json:"visit"`
	Trees    []TreeResult `json:"trees"`  // by rank, unranked last
	Photos   []Record     `json:"photos"` // by path
	// Pairs are what two photos of one scene gave together, by the first's path.
	Pairs  []Record    `json:"pairs,omitempty"`
	Blocks []BlockMean `json:"blocks,omitempty"`
	// Sways says how the top of the list changes when one weight moves by half.
	Sways []Sway `json:"weight_sways,omitempty"`
}

// Sway is the top of the list under one part's weight moved by a factor.
type Sway struct {
	Part   string   `json:"part"`   // as Part.Name
	Factor float64  `json:"factor"` // 0.5 or 1.5
	Weight float64  `json:"weight"` // so moved, of 100 in all
	Top    []TreeID `json:"top"`
	In     []TreeID `json:"in"`  // not in the top as the weights stand
	Out    []TreeID `json:"out"` // in the top as the weights stand
}

// Find returns the single (not profile) measurement of a quantity, or nil.
func (t *TreeResult) Find(q Quantity) *Measurement { return find(t.Measurements, q) }

// Find returns the single (not profile) measurement of a quantity, or nil.
func (r *Record) Find(q Quantity) *Measurement { return find(r.Measurements, q) }

func find(ms []Measurement, q Quantity) *Measurement {
	for i := range ms {
		if ms[i].Quantity == q && ms[i].AtM == nil {
			return &ms[i]
		}
	}
	return nil
}
