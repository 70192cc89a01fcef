package pipeline

import (
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/alleyview"
)

const (
	// Floor is looked at from floorNearM to floorFarM ahead and so far to each side,
	// in steps of half a twig's shade.
	floorNearM, floorFarM, floorAsideM = 2.4, 10.0, 5.0
	floorStepAsideM, floorStepAheadM   = 0.2, 0.3
	// floorHalfM to each side are averaged: over blades and litter.
	floorHalfM = 0.07
)

// floorLooks tells sun from shade on the floor that the photo shows; empty where
// the light is of one kind.
func (c *alleyScene) floorLooks(v *alleyview.View) []metrics.AlleyFloorLook {
	var out []metrics.AlleyFloorLook
	var light []float64
	for y := floorNearM; y < floorFarM; y += floorStepAheadM {
		for x := -floorAsideM; x <= floorAsideM; x += floorStepAsideM {
			p, ok := c.pixel(x, y, 0)
			if !ok {
				continue
			}
			if l, ok := v.FloorLight(p, floorHalfM/y*c.pose.Camera.FPx); ok {
				out, light = append(out, metrics.AlleyFloorLook{RightM: x, AheadM: y}), append(light, l)
			}
		}
	}
	cut, ok := vision.SunCut(light)
	if !ok {
		return nil
	}
	for i := range out {
		out[i].Shade = light[i] < cut
	}
	return out
}
