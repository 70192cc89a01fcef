package orchard

// Tools are the versions that a result was made by, beside the program's own.
type Tools struct {
	OpenCV string `json:"opencv"`
	Go     string `json:"go"`
}

// Used are the settings that a visit's numbers and order came from, in words of the
// orchard file. VisitResult.Settings is the hash of those that numbers depend on.
type Used struct {
	LatDeg       float64     `json:"latitude_deg"`
	LonDeg       float64     `json:"longitude_deg"`
	TimeZone     string      `json:"time_zone"`
	ElevationM   *float64    `json:"elevation_m,omitempty"`
	StandHeightM float64     `json:"stand_height_m"`
	RulerBarMM   float64     `json:"ruler_bar_mm"`
	FloorRadiusM float64     `json:"floor_radius_m"`
	Crop         string      `json:"crop"`
	Targets      Targets     `json:"targets"`
	Weights      Weights     `json:"weights"`
	Blocks       []UsedBlock `json:"blocks"`
	Lenses       []Lens      `json:"lenses,omitempty"`
}

// UsedBlock is what of a block goes into numbers.
type UsedBlock struct {
	Key             string  `json:"key"`
	RowSpacingM     float64 `json:"row_spacing_m"`
	TreeSpacingM    float64 `json:"tree_spacing_m"`
	RowDirectionDeg float64 `json:"row_direction_deg"`
}

// Used lists the settings in use.
func (o *Orchard) Used() *Used {
	u := &Used{
		LatDeg: o.Place.LatDeg, LonDeg: o.Place.LonDeg, TimeZone: o.Place.TimeZone, ElevationM: o.Place.ElevationM,
		StandHeightM: o.Board.StandHeightM, RulerBarMM: o.Board.RulerBarMM, FloorRadiusM: o.Board.FloorRadiusM,
		Crop: o.Crop.Name, Targets: o.Crop.Targets, Weights: o.Weights, Lenses: o.Lenses,
	}
	for i := range o.Blocks {
		b := &o.Blocks[i]
		u.Blocks = append(u.Blocks, UsedBlock{b.Key, b.RowSpacingM, b.TreeSpacingM, b.RowDirectionDeg})
	}
	return u
}
