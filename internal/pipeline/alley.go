package pipeline

import (
	"fmt"
	"math"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision/alleyview"
)

const (
	// alleyDark is the 95th percentile of linear light under which leaves and
	// floor are the same black: an eighth of middle grey.
	alleyDark = 0.02
	// floorLeast is the least share of colours that must tell canopy from floor
	// (1 all, 0 by chance).
	floorLeast = 0.35
	// heldLowM and heldHighM bound a hand-held camera's height: outside, the
	// board does not stand as the settings say or the ground is not level.
	heldLowM, heldHighM = 1.0, 2.2
	// aloneWideM: an interval wider than this (from end to end) is of little use
	// for a decision, and says how to do better.
	aloneWideM = 1.2
	// blindSDM: a width known no better than this says nothing that a look would not.
	blindSDM = 1.0
)

// betterWidth is the way to a sharper number.
const betterWidth = "for a sharper number take a second photo a step (0.4 to 0.7 m) to the side, stand two more boards with their outer edges touching the foliage, left and right, or measure by tape"

// measureAlley measures the clear width of the alley of one photo.
func measureAlley(s Shot) (ShotResult, error) {
	scene, view, err := newAlleyScene(s)
	if err != nil {
		return ShotResult{}, err
	}
	if view.Light < alleyDark {
		return ShotResult{}, &metrics.Unusable{
			Reason: fmt.Sprintf("too dark: the bright parts reach %.1f %% of full light, %.0f %% needed", 100*view.Light, 100*alleyDark),
			Mend:   "take it by day with the exposure turned up",
		}
	}
	pair := scene.edgeBoards()
	alley, wallErr := scene.fit(view, s.Set)
	r := alleyResult{scale: printed(s.Set)}
	if pair != nil && !pair.stands(alley) {
		pair = nil
		r.out.Flags = append(r.out.Flags, unmarked)
	}
	if wallErr != nil && pair == nil {
		return ShotResult{Flags: r.out.Flags}, wallErr
	}
	r.widths(scene, alley, pair, wallErr)
	r.out.Flags = append(r.out.Flags, scene.doubts(alley)...)
	if !s.NumbersOnly {
		r.out.Overlay = scene.draw(s.Photo, alley, pair)
	}
	return r.out, nil
}

// fit lays the two rows into the photo.
func (c *alleyScene) fit(v *alleyview.View, set ShotSettings) (*metrics.Alley, error) {
	if v.Separation < floorLeast {
		return nil, &metrics.Unusable{
			Reason: fmt.Sprintf("leaves and floor have the same colours here: told apart %.0f %% of the way, %.0f %% needed", 100*v.Separation, 100*floorLeast),
			Mend:   betterWidth,
		}
	}
	a, err := metrics.FitAlley(metrics.AlleyScene{
		CameraHeightM: c.cameraM, BoardRightM: c.boardXM, BoardAheadM: c.boardYM,
		// The fit is in lengths of the print; the orchard file's are the ground's.
		TreeSpacingM: set.TreeSpacingM / printed(set), RowSpacingM: set.RowSpacingM / printed(set),
		Rays: c.sights(v), Feet: c.feet(v), Floor: c.floorLooks(v), SunElevationDeg: c.sunUpDeg,
	})
	if err != nil {
		return nil, err
	}
	if e := a.ClearAt(c.boardYM); e.SD() > blindSDM {
		return nil, blind(a, e)
	}
	return a, nil
}

// printed is the printed length of the board over its nominal one.
func printed(s ShotSettings) float64 {
	if s.BoardScale <= 0 {
		return 1
	}
	return s.BoardScale
}

// blind says why a photo that leaves the walls' distance open gives no number.
func blind(a *metrics.Alley, e metrics.Estimate) error {
	seen := "neither trunks' feet nor the sun's shade on the floor tell"
	if by := a.PlacedBy(); len(by) > 0 {
		seen = "even with " + strings.Join(by, ", ") + " the photo does not tell"
	}
	return &metrics.Unusable{
		Reason: fmt.Sprintf("%s how far off the walls are: the clear width is open by %.1f m to either side, %.1f m allowed", seen, metrics.Z95*e.SD(), metrics.Z95*blindSDM),
		Mend:   "set row_spacing_m of the block in the orchard file; " + betterWidth,
	}
}

// doubts are the flags that hold for the whole photo.
func (c *alleyScene) doubts(a *metrics.Alley) []string {
	var out []string
	if h := c.cameraM; h < heldLowM || h > heldHighM {
		out = append(out, fmt.Sprintf("the camera seems to be %.1f m above the ground: check the board's stand (%.2f m set) and that the ground is level", h, c.standM))
	}
	if a != nil && a.FeetSeen < 3 {
		out = append(out, "few trunks' feet can be seen: the rows' distance rests on "+restsOn(a))
	}
	if a != nil && math.Abs(c.boardXM) > 0.25*a.ClearAt(c.boardYM).Value {
		out = append(out, "the photo was taken from beside the alley's centre line: the nearer wall hides part of itself")
	}
	return out
}

// restsOn names what places the rows where few feet are seen.
func restsOn(a *metrics.Alley) string {
	if by := a.PlacedBy(); len(by) > 0 {
		return "the walls' outline and " + strings.Join(by, ", ")
	}
	return "the walls' outline alone"
}

type alleyResult struct {
	out   ShotResult
	scale float64 // printed board over nominal
}

// widths adds the clear width at the board, along the alley, and at its
// narrowest place.
func (r *alleyResult) widths(c *alleyScene, a *metrics.Alley, pair *edgePair, wallErr error) {
	if pair != nil {
		e := pair.width
		if a != nil {
			e.Flags = append(e.Flags, disagreement(e, a.ClearAt(c.boardYM))...)
		}
		r.add(orchard.ClearWidthM, nil, e, "two boards")
	} else {
		e := a.ClearAt(c.boardYM)
		if e.High95-e.Low95 > aloneWideM {
			e.Flags = append(e.Flags, "one photo leaves the walls' depth open; "+betterWidth)
		}
		r.add(orchard.ClearWidthM, nil, e, "photo")
	}
	if a == nil {
		for _, q := range []orchard.Quantity{orchard.NarrowestM, orchard.NarrowestAtM} {
			r.out.Measurements = append(r.out.Measurements, orchard.Measurement{Quantity: q, Unit: "m", Absent: wallErr.Error()})
		}
		return
	}
	r.add(orchard.ClearLeftM, nil, a.SideAt(false), "photo")
	r.add(orchard.ClearRightM, nil, a.SideAt(true), "photo")
	for _, w := range a.Profile() {
		at := w.AheadM * r.scale
		r.add(orchard.ClearWidthAtM, &at, w.Width, "photo")
	}
	narrow, at := a.Narrowest()
	r.add(orchard.NarrowestM, nil, narrow, "photo")
	r.addPinch(at, "photo")
}

// disagreement flags a photo whose walls do not fit the boards before them.
func disagreement(boards, walls metrics.Estimate) []string {
	if walls.Low95 <= boards.High95 && walls.High95 >= boards.Low95 {
		return nil
	}
	return []string{fmt.Sprintf("the walls look %.1f m apart in the photo: check that the boards stand at the foliage edges", walls.Value)}
}

func (r *alleyResult) add(q orchard.Quantity, atM *float64, e metrics.Estimate, method string) {
	v, lo, hi := e.Value*r.scale, e.Low95*r.scale, e.High95*r.scale
	r.out.Measurements = append(r.out.Measurements, orchard.Measurement{
		Quantity: q, Unit: "m", Value: &v, Low95: &lo, High95: &hi, AtM: atM, Method: method, Flags: e.Flags, Parts: scaled(e.Parts, r.scale),
	})
}
