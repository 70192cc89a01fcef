package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

const (
	sideMethod = "photo"
	// fillSD is a density's error, the same for thin crowns and dense ones (DEVELOPERS.md, "How full a
	// crown is"); the outline's course makes the most of it. It is no more than fillMost of the
	// gaps, of which an outline shows leastGap at its rim (the densest of 156 drawn trees: 0.08).
	fillSD, fillMost, leastGap = 0.035, 0.5, 0.03
	// Sky: the error of classing leaf edges (a share of the share) and of the outline's own
	// course.
	skySD, skyRelSD = 0.02, 0.07
	// leastShare is the smallest share that could be seen: a leaf in a crown.
	leastShare = 0.002
	// gapEdgeSDM is the error of a gap's edge on each side, half a leaf's breadth.
	gapEdgeSDM = 0.03
	// weakSplit: under this d' of leaf and ground by colour (69 % right at 1, 93 %
	// at 3) what hangs under the level line is uncertain; said from 1.5 down.
	weakSplit = 1.5
	sideGaps  = 3
)

// sideResult gathers the numbers of a tree in the record's order.
func sideResult(s Shot, c *sideScene, v *sideview.View, t *metrics.SideTree) ShotResult {
	r := &sideReport{scene: c, view: v, tree: t}
	r.flags(s)
	r.lengths()
	r.shares()
	r.gaps()
	r.form(s.Set.RowSpacingM)
	if !s.NumbersOnly {
		r.out.Overlay = r.draw(s)
	}
	return r.out
}

type sideReport struct {
	scene *sideScene
	view  *sideview.View
	tree  *metrics.SideTree
	found []metrics.SideGap
	out   ShotResult
}

func (r *sideReport) add(m orchard.Measurement) { r.out.Measurements = append(r.out.Measurements, m) }

func (r *sideReport) flags(s Shot) {
	flag := func(on bool, text string) {
		if on {
			r.out.Flags = append(r.out.Flags, text)
		}
	}
	t := r.tree
	flag(t.CutTop, "the top of the tree is cut off by the picture: step back")
	flag(t.CutLeft || t.CutRight, "the side of the tree is cut off by the picture: step back or turn")
	flag(!t.Trunk, "no trunk seen at the board: the tree is taken to stand at the board")
	flag(t.Zone, fmt.Sprintf("rows behind show up to %.1f m: the sides there are drawn between what is clear over and under it", t.ZoneTopM()))
	flag(r.noSky(), "no open sky in the picture: gaps and top cannot be told")
	flag(r.view.FoliageGround < weakSplit, "leaves and ground have nearly one colour: the lowest foliage is uncertain")
}

func (r *sideReport) noSky() bool { return r.view.SkySeed < skyLeast }

func (r *sideReport) lengths() {
	t := r.tree
	r.add(r.length(orchard.HeightM, t.Height()))
	r.add(r.length(orchard.CrownBaseM, t.Base()))
	r.add(toldWidth(r.length(orchard.CrownWidthM, t.Width())))
	for _, w := range t.Profile() {
		m := r.length(orchard.WidthAtHeightM, w.SideLength)
		at := w.AtM
		m.AtM = &at
		r.add(m)
	}
	if q, sd, ok := t.TopToBottom(); ok {
		r.add(interval(orchard.TopToBottomWidth, "1", q, math.Max(0, q-metrics.Z95*sd), q+metrics.Z95*sd))
	} else {
		r.add(absent(orchard.TopToBottomWidth, "1", "the crown is too short or too thin to compare its thirds"))
	}
	r.add(r.length(orchard.ShoulderM, t.Shoulder()))
}

// widthMostRel of a crown's width to either side in its interval is the most that is told
// as a number: from half to half as much again, it could be a young tree's or an old one's.
const widthMostRel = 0.5

// toldWidth leaves a width out that its photo hardly tells.
func toldWidth(m orchard.Measurement) orchard.Measurement {
	if m.Value == nil || len(m.Flags) > 0 || *m.High95-*m.Low95 <= 2*widthMostRel**m.Value {
		return m
	}
	return absent(m.Quantity, m.Unit, fmt.Sprintf("anywhere from %.1f to %.1f m wide, for all that this photo tells it from the trees about it: take a second photo a step (0.4 to 0.7 m) to the side", *m.Low95, *m.High95))
}

// length is a measurement of a length with the pose's error in its interval.
func (r *sideReport) length(q orchard.Quantity, l metrics.SideLength) orchard.Measurement {
	if l.Reason != "" {
		return absent(q, "m", l.Reason)
	}
	if math.IsNaN(l.M) {
		return absent(q, "m", "no foliage found over the board: see that the whole tree is in the picture")
	}
	sd := r.scene.withPose(l)
	lo, hi := math.Max(0, l.M-metrics.Z95*sd), l.M+metrics.Z95*sd
	if !l.AtLeast {
		m := interval(q, "m", l.M, lo, hi)
		m.Parts = errorParts(r.scene.parts(l))
		return m
	}
	m := interval(q, "m", l.M, lo, hi+l.BeyondM)
	m.Parts = errorParts(append(r.scene.parts(l), calibrate.Part{Name: partCutOff, SD: l.BeyondM / metrics.Z95}))
	m.Flags = []string{fmt.Sprintf("at least %.1f m: cut off by the picture", lo)}
	return m
}

func (r *sideReport) shares() {
	s := r.tree.Shares()
	if r.noSky() {
		for _, q := range []orchard.Quantity{orchard.DensityFraction, orchard.DensityTop, orchard.DensityMiddle, orchard.DensityBottom, orchard.SkyGapFraction} {
			r.add(absent(q, "1", "no open sky in the picture: stand so that sky is seen over and through the tree"))
		}
		return
	}
	r.add(density(orchard.DensityFraction, s.Plant, s.BehindSD))
	for k, q := range []orchard.Quantity{orchard.DensityBottom, orchard.DensityMiddle, orchard.DensityTop} {
		r.add(density(q, s.Thirds[k], s.BehindThirdSD[k]))
	}
	r.add(sideShare(orchard.SkyGapFraction, s.Sky, leastShare, math.Hypot(skySD, skyRelSD*math.Min(s.Sky, 1-s.Sky)), 0))
}

// density is a share filled, with what rows behind leave open of it.
func density(q orchard.Quantity, p, behindSD float64) orchard.Measurement {
	own := math.Min(fillSD, fillMost*math.Max(leastGap, 1-p))
	return sideShare(q, p, 2*leastGap, own, behindSD)
}

// sideShare is a share with the errors of classing and outline, and more; least is the smallest
// that could be seen.
func sideShare(q orchard.Quantity, p, least, ownSD, moreSD float64) orchard.Measurement {
	if math.IsNaN(p) {
		return absent(q, "1", "that part of the tree is not in the picture")
	}
	p = math.Max(0, math.Min(1, p))
	e := metrics.FromShare(p, math.Hypot(ownSD, moreSD), least)
	m := interval(q, "1", e.Value, e.Low95, e.High95)
	m.Parts = errorParts([]calibrate.Part{{Name: metrics.PartSegmentation, SD: ownSD}, {Name: metrics.PartHidden, SD: moreSD}})
	return m
}

func (r *sideReport) gaps() {
	if r.noSky() {
		r.add(absent(orchard.LargestGapM, "m", "no open sky in the picture: stand so that sky is seen through the tree"))
		return
	}
	r.found = r.tree.Gaps(sideGaps)
	if len(r.found) == 0 {
		r.add(absent(orchard.LargestGapM, "m", "no gap found: the outline is full"))
		return
	}
	d := r.found[0].DiameterM
	r.add(around(orchard.LargestGapM, "m", d, gapSDM(d), 0))
}

func interval(q orchard.Quantity, unit string, v, lo, hi float64) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Unit: unit, Method: sideMethod, Value: &v, Low95: &lo, High95: &hi}
}

func absent(q orchard.Quantity, unit, why string) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Unit: unit, Method: sideMethod, Absent: why}
}
