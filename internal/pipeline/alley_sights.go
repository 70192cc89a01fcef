package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/alleyview"
)

const (
	// sightsAcross is how many sights are cast over the photo's longer side: one
	// for each 5 cm at the board, a third of a leaf.
	sightsAcross = 56
	// Sights within this of the level (metres up for each ahead) end so far off
	// that the row's end and other rows stand in them.
	sightLeastUp = 0.05
	// sightLeastRight: sights nearer to the rows' own heading meet a row of 2.5 m off
	// beyond 20 m, where it may have ended.
	sightLeastRight = 0.12
	// sightMostRight leaves out trees right beside the camera.
	sightMostRight = 0.75
)

// sights casts lines of sight evenly over the photo.
func (c *alleyScene) sights(v *alleyview.View) []metrics.AlleyRay {
	var out []metrics.AlleyRay
	step := math.Max(float64(v.W), float64(v.H)) * float64(v.Factor) / sightsAcross
	for y := step / 2; y < float64(v.H*v.Factor); y += step {
		for x := step / 2; x < float64(v.W*v.Factor); x += step {
			p := calibrate.Pixel{X: math.Floor(x), Y: math.Floor(y)}
			class, ok := v.AtPhoto(p)
			if !ok || class == alleyview.Board {
				continue
			}
			right, up, ok := c.ray(p)
			if !ok || math.Abs(up) < sightLeastUp || math.Abs(right) > sightMostRight || math.Abs(right) < sightLeastRight {
				continue
			}
			out = append(out, metrics.AlleyRay{Right: right, Up: up, Canopy: class == alleyview.Canopy})
		}
	}
	return out
}
