package main

import (
	"math"

	"rowlight/internal/scene"
)

func (p *plan) alleyTruth(s *scene.Stand) map[string]any {
	along := scene.Heading(p.headingDeg)
	from := scene.Vec3{}
	start := p.eye.Dot(along) // distances count from the camera
	between := func(low, high float64) *scene.ClearWidth {
		return s.ClearBetween(from, p.headingDeg, start+low, start+high)
	}
	const fromM, toM, stepM, halfSliceM = 3, 12, 0.25, 0.25
	var metres []map[string]any
	for m := fromM; m < toM; m++ {
		metres = append(metres, map[string]any{"from_m": m, "to_m": m + 1, "all": between(float64(m), float64(m+1))})
	}
	out := map[string]any{"by_metre": metres,
		"at_board": map[string]any{"distance_m": round(p.boardM - start), "half_slice_m": halfSliceM, "all": between(p.boardM-start-halfSliceM, p.boardM-start+halfSliceM)}}
	least, at := math.Inf(1), 0.0
	for m := float64(fromM); m < toM; m += stepM {
		if c := between(m, m+stepM); c != nil && c.FaceM < least {
			least, at = c.FaceM, m+stepM/2
		}
	}
	if !math.IsInf(least, 1) {
		out["minimum_2pct"] = map[string]any{"clear_m": least, "distance_m": at}
	}
	if len(p.edge) == 2 {
		l, r := p.boards[1], p.boards[2]
		out["edge_boards"] = map[string]any{"numbers": p.edge, "outer_edge_to_outer_edge_m": round(r.At(sheetWidthMM, 0).Sub(l.At(0, 0)).Norm())}
	}
	return out
}

// sheetWidthMM is A3's longer side (ISO 216).
const sheetWidthMM = 420
