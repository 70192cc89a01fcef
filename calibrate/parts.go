package calibrate

import "math"

// Part is one named source of a number's error: one standard deviation, in the
// number's own unit. Parts of a number are independent; their squares add up to its
// variance.
type Part struct {
	Name string
	SD   float64
}

// The parts of a length that comes through a board's pose.
const (
	PartCorners = "corners"         // noise of the corners found, the focal length's part aside
	PartFocal   = "focal length"    // EXIF's or the calibration's
	PartLens    = "lens distortion" // of a calibrated lens: middle and distortion
	PartScale   = "board scale"     // the print's
	PartPose    = "pose"            // the mirrored pose, where it cannot be ruled out
)

// placeFocal and placeScale are rows of BoardPose.Cov.
const placeFocal, placeScale = 6, 7

// Breakdown splits the variance that Propagate gives for fn into its parts, those
// that are nothing left out. The pose and the focal length are known together: what
// goes with the focal length is its part, the rest the corners'.
func (b *BoardPose) Breakdown(fn func(*BoardPose) float64) []Part {
	grad := b.gradient(fn)
	var all, withFocal float64
	for i := range fitted {
		withFocal += grad[i] * b.Cov[i][placeFocal]
		for j := range fitted {
			all += grad[i] * b.Cov[i][j] * grad[j]
		}
	}
	focal := 0.0
	if v := b.Cov[placeFocal][placeFocal]; v > 0 {
		focal = withFocal * withFocal / v
	}
	scale := grad[placeScale] * grad[placeScale] * b.Cov[placeScale][placeScale]
	lens := 0.0
	if b.Camera.Spread != nil {
		lens = b.Camera.Spread.variance(b, fn)
	}
	var out []Part
	add := func(name string, variance float64) {
		if variance > 0 {
			out = append(out, Part{name, math.Sqrt(variance)})
		}
	}
	add(PartCorners, all-focal)
	add(PartFocal, focal)
	add(PartLens, lens)
	add(PartScale, scale)
	add(PartPose, b.mirrorVariance(fn))
	return out
}

// mirrorVariance is what a mirrored pose adds: between-model variance.
func (b *BoardPose) mirrorVariance(fn func(*BoardPose) float64) float64 {
	if b.Alternate == nil {
		return 0
	}
	d := fn(b.Alternate) - fn(b)
	if math.IsNaN(d) {
		return 0
	}
	w := b.AlternateWeight
	return w * (1 - w) * d * d
}

// gradient returns how fn changes with each of the pose's unknowns, by central
// differences; 0 for those that are known.
func (b *BoardPose) gradient(fn func(*BoardPose) float64) [paramCount]float64 {
	var grad [paramCount]float64
	for i := range paramCount {
		sd := math.Sqrt(b.Cov[i][i])
		if sd == 0 {
			continue
		}
		h := 0.1 * sd
		var up, down [paramCount]float64
		up[i], down[i] = h, -h
		grad[i] = (fn(b.Moved(up)) - fn(b.Moved(down))) / (2 * h)
	}
	return grad
}

// Joined puts lists of independent parts together: those of one name in quadrature,
// in the order of their first showing.
func Joined(lists ...[]Part) []Part {
	var out []Part
	at := map[string]int{}
	for _, list := range lists {
		for _, p := range list {
			if !(p.SD > 0) {
				continue
			}
			i, seen := at[p.Name]
			if !seen {
				at[p.Name] = len(out)
				out = append(out, p)
				continue
			}
			out[i].SD = math.Hypot(out[i].SD, p.SD)
		}
	}
	return out
}
