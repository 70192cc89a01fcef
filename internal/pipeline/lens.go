package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

// cameraOf is a photo's camera: the calibrated lens where there is one of its key,
// else what EXIF leads one to expect.
func cameraOf(photo *vision.Photo, lenses []orchard.Lens) calibrate.Camera {
	key := lensKey(photo)
	for _, l := range lenses {
		if l.LensKey == key {
			fit := lensOf(l)
			return fit.Camera().Turned(photo.Meta.Orientation)
		}
	}
	return calibrate.PriorCamera(photo.FullW, photo.FullH, photo.Meta.F35())
}

// lensKey tells which lens took a photo. A photo stored upright, its EXIF saying so,
// shares its lens with those stored lying.
func lensKey(p *vision.Photo) orchard.LensKey {
	k := orchard.LensKey{Camera: cameraName(p.Meta), Focal35MM: p.Meta.F35(), WidthPx: p.FullW, HeightPx: p.FullH}
	if p.Meta.FocalMM != nil {
		k.FocalMM = math.Round(*p.Meta.FocalMM*1000) / 1000
	}
	if p.Meta.Orientation >= 5 { // turned by a quarter
		k.WidthPx, k.HeightPx = p.FullH, p.FullW
	}
	return k
}

func lensOf(l orchard.Lens) calibrate.Lens {
	return calibrate.Lens{WidthPx: l.WidthPx, HeightPx: l.HeightPx, FxPx: l.FxPx, FyPx: l.FyPx, CxPx: l.CxPx, CyPx: l.CyPx,
		K1: l.K1, K2: l.K2, P1: l.P1, P2: l.P2, K3: l.K3, Cov: l.Cov, RMSPx: l.RMSPx, Views: l.Photos}
}

// recordOf is the other way round.
func recordOf(key orchard.LensKey, l calibrate.Lens) orchard.Lens {
	return orchard.Lens{LensKey: key, FxPx: l.FxPx, FyPx: l.FyPx, CxPx: l.CxPx, CyPx: l.CyPx,
		K1: l.K1, K2: l.K2, P1: l.P1, P2: l.P2, K3: l.K3, Cov: l.Cov, RMSPx: l.RMSPx, Photos: l.Views}
}
