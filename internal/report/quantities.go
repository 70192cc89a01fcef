package report

import "rowlight/internal/orchard"

// form is how a quantity's value is shown to people.
type form int

const (
	share       form = iota // whole percent
	ratio                   // one decimal, no unit
	metres                  // one or two decimals, by its interval
	area                    // square metres, one decimal
	degrees                 // whole degrees
	count                   // whole number
	volumePerHa             // cubic metres a hectare, whole
	areaPerHa               // square metres a hectare, whole
)

// quantity is how one quantity is named in files and in words.
type quantity struct {
	Q      orchard.Quantity
	Column string // in CSV and GeoJSON: the unit is part of it
	Label  string // in a grower's words
	Form   form
	Kind   orchard.Kind
}

// quantities in the order people read them: what decides first, checks last.
var quantities = []quantity{
	{orchard.SunlitFractionRef, "sunlit_fraction_zenith20", "Sunlit floor, sun 20° from overhead", share, orchard.Floor},
	{orchard.SunlitFraction, "sunlit_fraction", "Sunlit floor, as photographed", share, orchard.Floor},
	{orchard.SunlitFractionBinary, "sunlit_fraction_binary", "Sunlit floor, half-shade not counted", share, orchard.Floor},
	{orchard.FloorClumping, "floor_clumping", "Evenness of the dapple, 1 is even", ratio, orchard.Floor},
	{orchard.DarkFloorShare, "dark_floor_fraction", "Floor in 1 m pieces under 5 % sunlit", share, orchard.Floor},
	{orchard.AlleySunlit, "alley_sunlit_fraction", "Sunlit floor of the alley, as photographed", share, orchard.AlleyFloor},
	{orchard.FloorContrast, "sun_shade_contrast_ratio", "Sunlit floor brighter than shade, times", ratio, orchard.Floor},
	{orchard.FloorAreaM2, "floor_area_m2", "Floor judged", area, orchard.Floor},
	{orchard.SunElevationDeg, "sun_elevation_deg", "Sun above the horizon", degrees, orchard.Floor},
	{orchard.SunAzimuthDeg, "sun_azimuth_deg", "Sun's bearing from north", degrees, orchard.Floor},
	{orchard.ShadeShiftM, "shade_shift_m", "Tree's shade lay off by", metres, orchard.Floor},

	{orchard.HeightM, "height_m", "Tree height", metres, orchard.Side},
	{orchard.CrownBaseM, "crown_base_m", "Lowest foliage above ground", metres, orchard.Side},
	{orchard.CrownWidthM, "crown_width_m", "Crown width along the row", metres, orchard.Side},
	{orchard.TopToBottomWidth, "top_to_bottom_width_ratio", "Top third over bottom third, width", ratio, orchard.Side},
	{orchard.ShoulderM, "shoulder_m", "Shoulder overhang, a side", metres, orchard.Side},
	{orchard.DensityFraction, "density_fraction", "Outline filled by foliage", share, orchard.Side},
	{orchard.DensityTop, "density_top_fraction", "Filled, top third", share, orchard.Side},
	{orchard.DensityMiddle, "density_middle_fraction", "Filled, middle third", share, orchard.Side},
	{orchard.DensityBottom, "density_bottom_fraction", "Filled, bottom third", share, orchard.Side},
	{orchard.SkyGapFraction, "sky_gap_fraction", "Sky seen through the outline", share, orchard.Side},
	{orchard.LargestGapM, "largest_gap_m", "Largest gap, across", metres, orchard.Side},
	{orchard.WindowCount, "window_count", "Openings of about 1 m", count, orchard.Side},
	{orchard.FaceAngleDeg, "face_angle_deg", "Sides lean in from the vertical by", degrees, orchard.Side},
	{orchard.WidestAtM, "widest_at_m", "Height of the widest part", metres, orchard.Side},
	{orchard.DarkCoreFraction, "dark_core_fraction", "Crown deeper than 1 m inside", share, orchard.Side},
	{orchard.TreeRowVolumeM3Ha, "tree_row_volume_m3_ha", "Tree row volume", volumePerHa, orchard.Side},
	{orchard.LeafWallAreaM2Ha, "leaf_wall_area_m2_ha", "Leaf wall area, both faces", areaPerHa, orchard.Side},
	{orchard.ExposedSurfaceM2Ha, "exposed_surface_m2_ha", "Leaf surface exposed, faces and top", areaPerHa, orchard.Side},

	{orchard.ClearWidthM, "clear_width_m", "Clear alley at the board", metres, orchard.Alley},
	{orchard.ClearLeftM, "clear_left_m", "Clear to the left of the board's middle", metres, orchard.Alley},
	{orchard.ClearRightM, "clear_right_m", "Clear to the right of it", metres, orchard.Alley},
	{orchard.NarrowestM, "narrowest_clear_width_m", "Narrowest clear alley", metres, orchard.Alley},
	{orchard.NarrowestAtM, "narrowest_at_m", "Narrowest place, from the camera", metres, orchard.Alley},

	{orchard.ExpectedSunlitRef, "expected_sunlit_fraction_zenith20", "Sunlit floor to be expected, sun 20° from overhead", share, orchard.Up},
	{orchard.FoliageCover, "foliage_cover_fraction", "Sky overhead covered by leaf and wood", share, orchard.Up},
	{orchard.CrownCover, "crown_cover_fraction", "Within the crowns' outlines", share, orchard.Up},
	{orchard.CrownPorosity, "crown_porosity_fraction", "Gaps within the crowns' outlines", share, orchard.Up},
	{orchard.PlantAreaIndex, "plant_area_index", "Leaf and wood area per ground area", ratio, orchard.Up},
	{orchard.EffectivePAI, "effective_plant_area_index", "The same, as if strewn at random", ratio, orchard.Up},
	{orchard.ClumpingZenith, "clumping_zenith", "Clumping overhead, 1 is even dapple", ratio, orchard.Up},
}

// profiles are the quantities that have a value at each of many places.
var profiles = []quantity{
	{orchard.WidthAtHeightM, "width_at_height_m", "Crown width at each height", metres, orchard.Side},
	{orchard.WindowAtM, "window_at_m", "Openings of about 1 m, by height", metres, orchard.Side},
	{orchard.ClearWidthAtM, "clear_width_at_m", "Clear alley at each distance", metres, orchard.Alley},
	{orchard.ClearWidthLowAtM, "clear_width_0_1m_at_m", "Clear alley up to 1 m high", metres, orchard.Alley},
	{orchard.ClearWidthMiddleAtM, "clear_width_1_2m_at_m", "Clear alley 1 to 2 m high", metres, orchard.Alley},
	{orchard.ClearWidthHighAtM, "clear_width_2_3m_at_m", "Clear alley 2 to 3 m high", metres, orchard.Alley},
}

// known returns how a quantity is shown; one this package has not heard of is
// shown by its own name and unit, never dropped.
func known(m orchard.Measurement) quantity {
	for _, list := range [][]quantity{quantities, profiles} {
		for _, q := range list {
			if q.Q == m.Quantity {
				return q
			}
		}
	}
	return quantity{m.Quantity, slug(string(m.Quantity)), string(m.Quantity), formOf(m.Unit), ""}
}

func formOf(unit string) form {
	switch unit {
	case "m":
		return metres
	case "m2":
		return area
	case "deg":
		return degrees
	case "m3/ha":
		return volumePerHa
	case "m2/ha":
		return areaPerHa
	}
	return ratio
}
