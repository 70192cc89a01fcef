package pipeline

import (
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
)

// FloorLight is a photo's judged floor as a bare method sees it, one entry a pixel
// of the reduced copy, and what we make of it.
type FloorLight struct {
	Luminance []float64 // linear light, sRGB decoded, 0..1
	AreaM2    []float64 // of ground in the pixel, within the ring
	Share     metrics.Estimate
}

// FloorLightOf reads the floor of a photo, so that other methods can be tried on
// the very pixels that ours judges. A photo that we refuse gives the error.
func FloorLightOf(data []byte, env Env) (FloorLight, error) {
	photo, err := vision.Decode(data)
	if err != nil {
		return FloorLight{}, err
	}
	shot, _, err := prepare(photo, orchard.Floor, env)
	if err != nil {
		return FloorLight{}, err
	}
	f, err := newFloorScene(shot)
	if err != nil {
		return FloorLight{}, err
	}
	f.look()
	shares := f.pixels().Shares()
	if err := f.conditions(shares).Check(); err != nil {
		return FloorLight{}, err
	}
	var out FloorLight
	if out.Share, err = f.share(shares); err != nil {
		return FloorLight{}, err
	}
	lin := vision.LinearPhoto(photo, f.factor)
	for i, in := range f.view.Floor.In {
		if in && f.ground.AreaM2[i] > 0 {
			out.Luminance = append(out.Luminance, float64(lin.Lum(i)))
			out.AreaM2 = append(out.AreaM2, float64(f.ground.AreaM2[i]))
		}
	}
	return out, nil
}
