package main

import (
	"strings"

	"rowlight/internal/scene"
)

// note stands in every truth file.
const note = "drawn by this project's own renderer: it shows where measuring breaks and never proves how exact it is"

// truth puts together what a photo's JSON says: what was drawn, and what the
// geometry says of it, under the names of the rendered practice set.
func (p *plan) truth(v *scene.View, stand *scene.Stand, classes []scene.Class, stem string) map[string]any {
	out := map[string]any{
		"kind": p.kind, "stem": stem, "image": stem + ".jpg", "note": note,
		"axes":             "metres east, north, up; azimuths from true north",
		"pixel_convention": "pixels of the picture turned upright; centres are whole numbers",
		"camera":           p.cameraJSON(v), "sun": map[string]any{"elevation_deg": round(v.Sun.ElevationDeg), "azimuth_deg": round(v.Sun.AzimuthDeg)},
		"time_local": p.light.taken.Format("2006-01-02T15:04:05-07:00"), "lat": round(p.light.lat), "lon": round(p.light.lon),
		"sky": v.Sky.String(), "diffuse_share": round(v.Diffuse), "floor": p.ground.Floor.String(), "ground": p.groundJSON(),
		"board": boardJSON(p.boards[0]), "photo": p.photoJSON(), "design": p.design,
		"board_check": map[string]any{"markers_true_px": markersPx(v)},
	}
	switch {
	case strings.HasSuffix(stem, "_b"):
		out["truth"] = map[string]any{"same_as": p.stem}
	case p.kind == "floor":
		p.floorTruth(out, v, classes)
	case p.kind == "side":
		out["truth"] = p.sideTruth(v, stand, classes)
	default:
		out["truth"] = p.alleyTruth(stand)
	}
	return out
}

// A floor with less sun than shadedTo is called shaded, with more than sunlitFrom
// sunlit.
const shadedTo, sunlitFrom = 0.02, 0.95

func (p *plan) floorTruth(out map[string]any, v *scene.View, classes []scene.Class) {
	const radiusM, wholeM = 1.5, 50.0
	share, area := v.FloorSeen(classes, radiusM)
	whole, wholeArea := v.FloorSeen(classes, wholeM)
	out["truth"] = map[string]any{
		"sun_fraction_within_1p5m_of_board": round(share), "floor_area_within_1p5m_m2": round(area),
		"sun_fraction_area_weighted": round(whole), "floor_area_m2": round(wholeArea),
	}
	switch {
	case v.Sky == scene.Overcast:
		out["case"], out["expected"] = "overcast", "refuse: no direct sun"
	case share < shadedTo:
		out["case"] = "shaded"
	case share > sunlitFrom:
		out["case"] = "sunlit"
	default:
		out["case"] = "partial"
	}
}

func (p *plan) sideTruth(v *scene.View, stand *scene.Stand, classes []scene.Class) map[string]any {
	t := stand.Trees[p.target]
	o := v.TreeOutline(p.target, classes)
	top := t.TopLeaf()
	highest := top.Z
	top.Z += stand.HeightM(t.Spec.At.X, t.Spec.At.Y)
	x, y, ok := v.Camera.Project(top)
	in := ok && x >= 0 && y >= 0 && x < float64(v.Camera.WidthPx) && y < float64(v.Camera.HeightPx)
	return map[string]any{
		"highest_leaf_m": round(highest), "height_p999_m": round(t.HeightM()), "crown_base_1pct_m": round(t.CrownBaseM()),
		"max_width_1_99pct_m": round(t.WidthM()), "width_by_height": t.WidthsM(), "leaf_area_m2": round(t.LeafAreaM2()),
		"sky_gap_share_in_envelope": round(o.SkyGap), "not_target_share_in_envelope": round(o.NotTarget),
		"envelope_pixels": o.Pixels, "top_in_frame": in, "top_leaf_px": [2]float64{round(x), round(y)},
		"heights": "above the ground at the trunk, also on slopes",
	}
}
