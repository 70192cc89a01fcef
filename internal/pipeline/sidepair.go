package pipeline

import (
	"math"
	"sort"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision"
	"rowlight/vision/register"
	"rowlight/vision/sideview"
)

// SideSpots are the conspicuous places of a side photo's crown, with where they
// lie on the row's plane. They are small: a visit's may all be kept.
type SideSpots struct {
	spots []register.Spot
	at    []metrics.SidePoint
}

const (
	// spotFloorM: grass and board are the same in every photo of a visit.
	spotFloorM = 0.8
	// spotReachM to each side of the board: the tree itself, not its neighbours.
	spotReachM = 2.5
	// spotNearM: two spots may be one where they lie this near on the row's
	// plane, by the boards alone: a board set up anew by eye, a crown's depth.
	spotNearM = 0.35
)

// Spots finds the crown's spots.
func (l *SideLook) Spots() (*SideSpots, error) {
	all, err := register.Spots(l.Photo)
	if err != nil {
		return nil, err
	}
	s := &SideSpots{}
	for _, spot := range all {
		p := l.scene.point(l.scene.pose, spot.At)
		if p.ZM > spotFloorM && math.Abs(p.XM) < spotReachM {
			s.spots, s.at = append(s.spots, spot), append(s.at, p)
		}
	}
	return s, nil
}

// Common are the spots of s found again in o at the same place beside the board,
// as they lie on the two planes.
func (s *SideSpots) Common(o *SideSpots) (first, second []metrics.SidePoint) {
	pairs := register.Alike(s.spots, o.spots, func(i, j int) bool {
		return math.Hypot(o.at[j].XM-s.at[i].XM, o.at[j].ZM-s.at[i].ZM) < spotNearM
	})
	for _, p := range pairs {
		first, second = append(first, s.at[p.A]), append(second, o.at[p.B])
	}
	return first, second
}

// SpotsOffM is how far the common spots lie from where a fit puts them, in the
// median; NaN for none.
func SpotsOffM(first, second []metrics.SidePoint, fit metrics.SideFit) float64 {
	if len(first) == 0 {
		return math.NaN()
	}
	d := make([]float64, len(first))
	for i := range first {
		p := fit.At(first[i])
		d[i] = math.Hypot(second[i].XM-p.XM, second[i].ZM-p.ZM)
	}
	sort.Float64s(d)
	return d[len(d)/2]
}

// Onto is the map from the pixels of first to those of l, both laid on the row's
// plane and by fit on each other. ok is false where the planes are seen from
// behind or beside.
func (l *SideLook) Onto(first *SideLook, fit metrics.SideFit) (m calibrate.Mat3, ok bool) {
	const halfM, lowM, highM = 1.5, 0.5, 4.0 // four points of the plane that any side photo shows
	var from, to []calibrate.Pixel
	for _, p := range [4]metrics.SidePoint{{XM: -halfM, ZM: lowM}, {XM: halfM, ZM: lowM}, {XM: halfM, ZM: highM}, {XM: -halfM, ZM: highM}} {
		a, okA := first.scene.pixel(p)
		b, okB := l.scene.pixel(fit.At(p))
		if !okA || !okB {
			return m, false
		}
		from, to = append(from, a), append(to, b)
	}
	m, err := calibrate.Homography(from, to)
	return m, err == nil
}

// sunOverShade halves, on the scale of light, the least contrast of sun and shade
// under a clear sky (5 times): wood over a half of the sunlit leaves' and ground's
// light over that root is in the sun.
const (
	sunOverShade = 5.0
	// barkOverLeaf: bark sends back about as much light as leaves and soil do
	// (some 0.15 to 0.25; common practice).
	barkOverLeaf = 1.0
	// leastBaredCells: fewer bared cells (half a hand) say nothing of their light.
	leastBaredCells = 50
)

// SunlitShare is the share of the given places (on the row's plane) that lie in
// the sun, against the photo's bright leaves and ground; ok is false where too few
// are given. It is a rough guide for paint: bark may be lighter or darker.
func (l *SideLook) SunlitShare(at []metrics.SidePoint) (share float64, ok bool) {
	if len(at) < leastBaredCells {
		return 0, false
	}
	light := vision.LinearPhoto(l.Photo, l.view.Factor)
	limit := barkOverLeaf * sunlitLevel(light, l.view) / math.Sqrt(sunOverShade)
	var n, lit float64
	for _, p := range at {
		px, ok := l.scene.pixel(p)
		if !ok {
			continue
		}
		f := float64(l.view.Factor)
		x, y := int(math.Floor((px.X+0.5)/f)), int(math.Floor((px.Y+0.5)/f))
		if x < 0 || y < 0 || x >= light.W || y >= light.H {
			continue
		}
		n++
		if float64(light.Lum(y*light.W+x)) > limit {
			lit++
		}
	}
	return lit / math.Max(n, 1), n >= leastBaredCells
}

// sunlitLevel is the 90th percentile of the light of leaves and ground.
func sunlitLevel(l *vision.Linear, v *sideview.View) float64 {
	var all []float64
	for i := 0; i < len(v.Class) && i < l.W*l.H; i += 7 {
		if c := v.Class[i]; c == sideview.Foliage || c == sideview.Ground {
			all = append(all, float64(l.Lum(i)))
		}
	}
	if len(all) == 0 {
		return math.Inf(1)
	}
	sort.Float64s(all)
	return all[len(all)*9/10]
}
