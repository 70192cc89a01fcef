package orchard

// Targets are what a canopy is measured against. Every default is common
// practice of the avocado trade, no law, and can be changed in the orchard file.
type Targets struct {
	FloorSunlitFraction float64 `json:"floor_sunlit_fraction"` // of the floor under the trees in direct sun
	ClearAlleyM         float64 `json:"clear_alley_m"`         // free of branches between rows
	// The height limit is the lowest of three: HeightLimitM, and the two ratios
	// times row spacing and clear alley.
	HeightLimitM       float64 `json:"height_limit_m"`
	HeightToRowSpacing float64 `json:"height_to_row_spacing"`
	HeightToClearAlley float64 `json:"height_to_clear_alley"`
	// A year's removal, share of the canopy: less grows back at once, more costs
	// crop.
	YearlyRemovalLow  float64 `json:"yearly_removal_low"`
	YearlyRemovalHigh float64 `json:"yearly_removal_high"`
}

// DefaultTargets returns the avocado profile, all common practice: 20 % of the
// floor sunlit, 2.5 m clear alley, height the lowest of 5 m, 0.8 x the row spacing
// (Stassen, Snijder and Bard 1999: at most 80 % of the row width) and 2 x the
// clear alley; 15-25 % taken out a year.
func DefaultTargets() Targets {
	return Targets{
		FloorSunlitFraction: 0.20,
		ClearAlleyM:         2.5,
		HeightLimitM:        5,
		HeightToRowSpacing:  0.8,
		HeightToClearAlley:  2.0,
		YearlyRemovalLow:    0.15,
		YearlyRemovalHigh:   0.25,
	}
}

// HeightLimit returns the height a tree may have at a row spacing, metres, and
// which of the three rules sets it, in a grower's words. A row spacing of 0 is
// unknown and its rule left out.
func (t Targets) HeightLimit(rowSpacingM float64) (limitM float64, rule string) {
	limitM, rule = t.HeightLimitM, "the height limit"
	if r := t.HeightToRowSpacing * rowSpacingM; rowSpacingM > 0 && r < limitM {
		limitM, rule = r, "row spacing"
	}
	if a := t.HeightToClearAlley * t.ClearAlleyM; a < limitM {
		limitM, rule = a, "clear alley"
	}
	return limitM, rule
}

// DefaultWeights returns the score's weights: floor light first, the rest alike
// (our proposal; no trade source weighs them).
func DefaultWeights() Weights { return Weights{Floor: 40, Height: 20, Alley: 20, Shape: 20} }
