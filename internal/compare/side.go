package compare

import (
	"fmt"
	"math"
	"os"
	"path/filepath"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/metrics"
)

const (
	// commonLeast: this many spots of the first crown found again beside the board
	// show that it is the same tree. Of spots that only look alike one in thirty
	// lies within 0.35 m by chance.
	commonLeast = 15
	// commonOffM: where the spots found again lie further from where board and
	// crown put them, the two photos are not laid well on each other.
	commonOffM = 0.20
	// framingMost: a photo from 1.5 times the distance shows other gaps.
	framingMost = 1.5
)

// sidePair is a tree's two side photos laid on each other.
type sidePair struct {
	before, after string // paths
	change        *metrics.SideChange
	// why there is no change; change may be there none the less, for its fit
	why     string
	spots   [2]*pipeline.SideSpots
	look0   *frame // of the first photo
	common  int
	bySpots bool
	offM    float64
	sunlit  *float64
	look    [2]*pipeline.SideLook // dropped once the pictures are written
}

// sidePair measures the first usable side photo of each visit once more, kept
// whole, and lays them on each other.
func (r *run) sidePair(t *tree) *sidePair {
	id := t.out.ID
	b, a := r.photosOf(r.opt.Before, id, orchard.Side), r.photosOf(r.opt.After, id, orchard.Side)
	p := &sidePair{offM: math.NaN()}
	switch {
	case len(b) == 0:
		p.why = whyNone(r.opt.Before, id, orchard.Side)
		return p
	case len(a) == 0:
		p.why = whyNone(r.opt.After, id, orchard.Side)
		return p
	}
	first, second := oneFace(b, a)
	p.before, p.after = first.Path, second.Path
	if first.AlleySide != second.AlleySide && first.AlleySide != "" && second.AlleySide != "" {
		p.why = fmt.Sprintf("one side photo was taken from the %s alley, the other from the %s: take both from one alley", first.AlleySide, second.AlleySide)
		return p
	}
	for i, path := range [2]string{p.before, p.after} {
		look, err := r.look(path, id)
		if err != nil {
			p.why = fmt.Sprintf("%s: %s", path, unusableWords(err))
			return p
		}
		p.look[i] = look
	}
	plane := p.look[0].Tree.Plane
	p.look0 = &frame{plane.CameraHeightM, plane.DistanceM, p.look[0].Tree.ZoneTopM()}
	p.layGuarded()
	return p
}

// oneFace picks the first photo of each visit that show one face of the tree, by the
// alley they say they were taken from; the first of each where none agree.
func oneFace(before, after []*orchard.Record) (first, second *orchard.Record) {
	for _, b := range before {
		for _, a := range after {
			if b.AlleySide == a.AlleySide {
				return b, a
			}
		}
	}
	return before[0], after[0]
}

// look reads a side photo whole.
func (r *run) look(path string, id orchard.TreeID) (*pipeline.SideLook, error) {
	data, err := os.ReadFile(filepath.Join(r.opt.Dir, filepath.FromSlash(path)))
	if err != nil {
		return nil, err
	}
	return pipeline.LookSide(data, pipeline.EnvFor(r.opt.Orchard, &id))
}

// layGuarded lays the two photos on each other; a panic on the way is a pair that does
// not compare, with the reason, and no end of the run.
func (p *sidePair) layGuarded() {
	if fault := pipeline.Guarded(p.lay); fault != nil {
		p.change, p.sunlit = nil, nil
		p.why = fmt.Sprintf("laying the two side photos on each other: %v", fault)
	}
}

// lay registers the two photos: boards first, then the spots found in both or,
// where there are too few, the crowns.
func (p *sidePair) lay() {
	before, after := p.look[0], p.look[1]
	for i, l := range p.look {
		s, err := l.Spots()
		if err != nil {
			p.why = err.Error()
			return
		}
		p.spots[i] = s
	}
	first, second := p.spots[0].Common(p.spots[1])
	p.common = len(first)
	by := fitSpots(first, second, before.Tree.ZoneTopM())
	change, err := metrics.CompareSides(before.Tree, after.Tree, by)
	p.change, p.bySpots = change, by != nil
	p.offM = pipeline.SpotsOffM(first, second, change.Fit)
	k := math.Max(before.DistanceM(), after.DistanceM()) / math.Min(before.DistanceM(), after.DistanceM())
	switch {
	case err != nil:
		p.why = unusableWords(err)
	case k > framingMost:
		p.why = fmt.Sprintf("one side photo was taken from %.1f m, the other from %.1f m: stand where the first was taken", before.DistanceM(), after.DistanceM())
	case p.common >= commonLeast && p.offM > commonOffM:
		p.why = fmt.Sprintf("leaves seen in both side photos lie %.2f m off where the boards put them: set the board up at the same spot", p.offM)
	}
	if share, ok := after.SunlitShare(change.Bared); ok {
		p.sunlit = &share
	}
}

// fitSpots fits the spots over the rows behind, or all where these are too few
// (a top that was cut takes its spots along); nil where neither will do.
func fitSpots(first, second []metrics.SidePoint, zoneM float64) *metrics.SideFit {
	if fit, ok := metrics.FitSpots(overRows(first, second, zoneM)); ok {
		return &fit
	}
	if fit, ok := metrics.FitSpots(first, second); ok {
		return &fit
	}
	return nil
}

// overRows keeps the spots higher than the rows behind reach: these shift
// otherwise when the camera does.
func overRows(first, second []metrics.SidePoint, zoneM float64) (a, b []metrics.SidePoint) {
	for i, p := range first {
		if p.ZM > zoneM {
			a, b = append(a, p), append(b, second[i])
		}
	}
	return a, b
}

// check says how sure the laying on each other is.
func (p *sidePair) check() string {
	switch {
	case p == nil || p.change == nil:
		return ""
	case p.bySpots:
		return fmt.Sprintf("laid on each other by board and %d leaves and twigs found in both, %.0f cm off in the median", p.common, 100*p.offM)
	case p.common >= commonLeast:
		return fmt.Sprintf("laid on each other by board and outline; %d leaves and twigs found again, %.0f cm off in the median", p.common, 100*p.offM)
	}
	return fmt.Sprintf("laid on each other by board and outline; only %d leaves and twigs found again, as after weeks of growth, so their place could not be checked", p.common)
}

// drop lets go of the photos, the larger part of a pair's memory.
func (p *sidePair) drop() {
	if p != nil {
		p.look = [2]*pipeline.SideLook{}
	}
}

// Sides compares two side photos of one tree by their paths, without an orchard.
// The error says why they do not compare.
func Sides(before, after string, env pipeline.Env) (*metrics.SideChange, error) {
	p := &sidePair{}
	for i, path := range [2]string{before, after} {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, fmt.Errorf("compare: read photo: %w", err)
		}
		if p.look[i], err = pipeline.LookSide(data, env); err != nil {
			return nil, err
		}
	}
	p.layGuarded()
	if p.why != "" {
		return nil, &metrics.Unusable{Reason: p.why, Mend: "see the reason"}
	}
	return p.change, nil
}
