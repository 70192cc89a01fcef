package pipeline

import (
	"fmt"
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

const (
	// roundRelSD: from one side a crown's depth across the row is not seen; it is
	// taken as its width along the row, off by this share (common practice: hedged
	// and free-standing trees are 0.7 to 1.3 as deep as wide).
	roundRelSD = 0.15
	// derivativeStep of a length, for carrying its error into a formula.
	derivativeStep = 0.5
)

const roundFlag = "the crown is taken to be as deep across the row as it is wide along it"

// form adds the crown's form and the volumes that follow from it.
func (r *sideReport) form(rowM float64) {
	f, ok := r.tree.Form()
	if !ok {
		const why = "the crown is too short or too thin to read its form"
		r.add(absent(orchard.FaceAngleDeg, "deg", why))
		r.add(absent(orchard.WidestAtM, "m", why))
	} else {
		r.add(around(orchard.FaceAngleDeg, "deg", f.FaceDeg, f.FaceSDDeg, math.Inf(-1)))
		r.add(around(orchard.WidestAtM, "m", f.WidestM, f.WidestSDM, 0))
		r.formFlags(f)
	}
	r.windows()
	r.volumes(rowM)
}

func (r *sideReport) formFlags(f metrics.SideForm) {
	for _, c := range []struct {
		on   bool
		text string
	}{
		{f.FlatTop, "the top is flat"},
		{f.ShoulderWide, "shoulders stand out over the lower crown and shade it"},
		{f.OpenCentre, "the centre is open at the top"},
	} {
		if c.on {
			r.out.Flags = append(r.out.Flags, c.text)
		}
	}
}

// windows counts the openings of about 1 m, and says where each is.
func (r *sideReport) windows() {
	if r.noSky() {
		r.add(absent(orchard.WindowCount, "1", "no open sky in the picture: stand so that sky is seen through the tree"))
		return
	}
	all := r.tree.Windows()
	sure, may := 0, 0
	for _, g := range r.tree.Gaps(windowsLooked) {
		sd := gapSDM(g.DiameterM)
		if g.DiameterM-metrics.Z95*sd >= metrics.WindowLeastM {
			sure++
		}
		if g.DiameterM+metrics.Z95*sd >= metrics.WindowLeastM {
			may++
		}
	}
	r.add(interval(orchard.WindowCount, "1", float64(len(all)), float64(sure), float64(may)))
	for _, g := range all {
		m := around(orchard.WindowAtM, "m", g.DiameterM, gapSDM(g.DiameterM), 0)
		at := g.At.ZM
		m.AtM = &at
		m.Flags = []string{windowPlace(g.At.XM - r.tree.TrunkM)}
		r.add(m)
	}
}

// windowsLooked openings are looked at for windows.
const windowsLooked = 12

func windowPlace(xM float64) string {
	if xM < 0 {
		return fmt.Sprintf("%.1f m left of the trunk", -xM)
	}
	return fmt.Sprintf("%.1f m right of the trunk", xM)
}

// gapSDM is the error of a gap's diameter: its two edges, and its form.
func gapSDM(d float64) float64 { return math.Hypot(math.Sqrt2*gapEdgeSDM, 0.05*d) }

// volumes adds the dark core, and the row's volume and surfaces where the
// distance of rows is known.
func (r *sideReport) volumes(rowM float64) {
	h, w, s := r.tree.Height(), r.tree.Width(), r.tree.Base()
	if h.Reason+w.Reason+s.Reason != "" || math.IsNaN(h.M+w.M+s.M) {
		r.add(absent(orchard.DarkCoreFraction, "1", "no crown to measure"))
		return
	}
	top, bottom, thirdSD, ok := r.tree.Thirds()
	if !ok {
		top, bottom, thirdSD = w.M, w.M, w.SDM
	}
	v := []uncertain{
		{h.M, r.scene.withPose(h)}, {w.M, math.Hypot(r.scene.withPose(w), roundRelSD*w.M)}, {s.M, r.scene.withPose(s)},
		{bottom, math.Hypot(thirdSD, roundRelSD*bottom)}, {top, math.Hypot(thirdSD, roundRelSD*top)}, {w.M, r.scene.withPose(w)},
	}
	r.derive(orchard.DarkCoreFraction, "1", 1, v, func(x []float64) float64 {
		return metrics.DarkCoreCrown(x[5]/2, x[1]/2, (x[0]-x[2])/2)
	})
	if rowM <= 0 {
		return
	}
	r.derive(orchard.TreeRowVolumeM3Ha, "m3/ha", math.Inf(1), v, func(x []float64) float64 {
		return metrics.TreeRowVolumeM3Ha(x[0], x[1], rowM)
	})
	r.derive(orchard.LeafWallAreaM2Ha, "m2/ha", math.Inf(1), v, func(x []float64) float64 {
		return metrics.LeafWallAreaM2Ha(x[0], x[2], rowM)
	})
	r.derive(orchard.ExposedSurfaceM2Ha, "m2/ha", math.Inf(1), v, func(x []float64) float64 {
		return metrics.Hedge{HeightM: x[0], SkirtM: x[2], BottomM: x[3], TopM: x[4]}.ExposedM2Ha(rowM)
	})
}

// uncertain is a length with one standard deviation.
type uncertain struct{ m, sd float64 }

// derive adds a number computed from lengths whose errors are independent.
func (r *sideReport) derive(q orchard.Quantity, unit string, most float64, v []uncertain, fn func([]float64) float64) {
	x := make([]float64, len(v))
	for i := range v {
		x[i] = v[i].m
	}
	value, sum := fn(x), 0.0
	if math.IsNaN(value) {
		r.add(absent(q, unit, "the crown is too small to compute it"))
		return
	}
	for i := range v {
		d := derivativeStep * v[i].sd
		x[i] = v[i].m + d
		up := fn(x)
		x[i] = v[i].m - d
		down := fn(x)
		x[i] = v[i].m
		if g := (up - down) / 2 / derivativeStep; !math.IsNaN(g) {
			sum += g * g
		}
	}
	m := around(q, unit, value, math.Sqrt(sum), 0)
	*m.High95 = math.Min(*m.High95, most)
	if q != orchard.LeafWallAreaM2Ha {
		m.Flags = []string{roundFlag}
	}
	r.add(m)
}

// around is a value with its 95 % interval, normal theory, not under least.
func around(q orchard.Quantity, unit string, v, sd, least float64) orchard.Measurement {
	return interval(q, unit, v, math.Max(least, v-metrics.Z95*sd), v+metrics.Z95*sd)
}
