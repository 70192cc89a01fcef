package main

import (
	"fmt"
	"math"

	"rowlight/internal/scene"
)

// cameraJSON, groundJSON and photoJSON hold the drawn parameters, to regress errors on.
func (p *plan) cameraJSON(v *scene.View) map[string]any {
	cx, cy := v.Camera.Centre()
	e := v.Camera.Eye
	return map[string]any{"position": []float64{round(e.X), round(e.Y), round(e.Z)},
		"height_m": round(e.Z - p.ground.HeightM(e.X, e.Y)), "pitch_up_deg": round(p.pitchDeg), "tilt_from_nadir_deg": round(90 + p.pitchDeg),
		"heading_true_deg": round(math.Mod(p.headingDeg+p.turnDeg+360, 360)), "heading_row_deg": round(math.Mod(p.headingDeg+360, 360)), "roll_deg": round(p.rollDeg),
		"width": v.Camera.WidthPx, "height": v.Camera.HeightPx, "f_px": round(v.Camera.FocalPx), "focal_35mm": p.film.focal35, "cx": cx, "cy": cy,
		"k1": round(v.Camera.K1), "k2": round(v.Camera.K2), "distorted": v.Camera.K1 != 0, "orientation_exif": p.film.orientation}
}

func (p *plan) groundJSON() map[string]any {
	return map[string]any{"tint": p.ground.Tint, "wet": round(p.ground.Wet), "weeds": round(p.ground.Weeds),
		"slope_east": round(p.ground.SlopeEast), "slope_north": round(p.ground.SlopeNorth)}
}

func (p *plan) photoJSON() map[string]any {
	l := p.look
	return map[string]any{"stops": round(l.Stops), "warm": round(l.Warm), "green": round(l.Green), "tone": round(l.Tone),
		"local_tone_strength": round(l.LocalTone), "motion_px": round(l.MotionPx), "full_well": l.fullWell, "jpeg_quality": l.quality}
}

func boardJSON(b scene.Board) map[string]any {
	v := func(p scene.Vec3) []float64 { return []float64{round(p.X), round(p.Y), round(p.Z)} }
	return map[string]any{"n": b.Number, "top_left": v(b.TopLeft), "right": v(b.Right), "down": v(b.Down)}
}

// markersPx is where each marker's corners lie in the picture.
func markersPx(v *scene.View) map[string][4][2]float64 {
	out := map[string][4][2]float64{}
	for _, b := range v.Boards {
		for slot := range 4 {
			var c [4][2]float64
			for i, q := range b.MarkerCorners(slot) {
				x, y, _ := v.Camera.Project(q)
				c[i] = [2]float64{math.Round(x*1e3) / 1e3, math.Round(y*1e3) / 1e3}
			}
			out[fmt.Sprint(4*b.Number+slot)] = c
		}
	}
	return out
}
