package pipeline

import (
	"errors"
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision/skyward"
)

const (
	// burntSkyFlag of the sky burnt out is told to the reader: the usual advice is
	// one step under the meter's reading (common practice).
	burntSkyFlag = 0.5
	// fieldCutFlag: a photo that holds less than this of the field's radius was
	// taken with too long a lens.
	fieldCutFlag = 0.95
)

// measureUp measures the canopy overhead from a photo taken straight up, phone
// level: no board, no sun needed. It rests on the user to hold the phone level,
// for nothing in the photo tells.
func measureUp(s Shot) (ShotResult, error) {
	want := s.Camera.FPx * s.Photo.Scale() * math.Tan(metrics.UpFieldDeg*math.Pi/180)
	view, err := skyward.Look(s.Photo, want)
	if errors.Is(err, skyward.ErrOneLight) {
		return ShotResult{}, &metrics.Unusable{
			Reason: "sky and leaves cannot be told apart overhead",
			Mend:   "hold the phone level and straight up under the leaves, so that leaves stand dark against the sky",
		}
	}
	if err != nil {
		return ShotResult{}, fmt.Errorf("pipeline: up: %w", err)
	}
	shares := skyShares(view)
	res := ShotResult{Measurements: upMeasurements(shares), Flags: upFlags(view, want)}
	if !s.NumbersOnly {
		res.Overlay = drawUp(s, view, shares)
	}
	return res, nil
}

func skyShares(v *skyward.View) metrics.SkyShares {
	s := metrics.SkyShares{
		Low: v.SkyLow, Mid: v.SkyMid, High: v.SkyHigh,
		EdgeShare: v.EdgeShare, BurntSky: v.BurntSky, GapPx: v.GapPx, FieldPx: v.FieldPx,
	}
	s.Quarters = v.Quarters[:]
	return s
}

func upMeasurements(s metrics.SkyShares) []orchard.Measurement {
	out := []orchard.Measurement{
		measured(orchard.ExpectedSunlitRef, "1", s.ExpectedSunlit()),
		measured(orchard.FoliageCover, "1", s.FoliageCover()),
		measured(orchard.CrownCover, "1", s.CrownCover()),
	}
	for _, d := range []struct {
		q   orchard.Quantity
		get func() (metrics.Estimate, bool)
		why string
	}{
		{orchard.CrownPorosity, s.Porosity, "no crown in the view"},
		{orchard.PlantAreaIndex, s.PAI, "no gap shows within the crowns: the canopy is too dense to measure from below"},
		{orchard.EffectivePAI, s.EffectivePAI, "no sky shows: the canopy is too dense to measure from below"},
		{orchard.ClumpingZenith, s.Clumping, "no gap shows within the crowns, or no crown"},
	} {
		if e, ok := d.get(); ok {
			out = append(out, measured(d.q, "1", e))
		} else {
			out = append(out, missing(d.q, "1", d.why))
		}
	}
	return out
}

func upFlags(v *skyward.View, wantPx float64) []string {
	var out []string
	if v.BurntSky > burntSkyFlag {
		out = append(out, fmt.Sprintf("%.0f %% of the sky is burnt out: expose a step less, so that small gaps keep their size", 100*v.BurntSky))
	}
	if have := float64(v.Field.W) / 2; have < fieldCutFlag*wantPx {
		out = append(out, fmt.Sprintf("the photo shows only %.0f degrees to either side, %.0f wanted: use the main lens", metrics.UpFieldDeg*have/wantPx, metrics.UpFieldDeg))
	}
	return out
}

// drawUp tints what counted as sky, the large gaps too, and rings the field.
func drawUp(s Shot, v *skyward.View, shares metrics.SkyShares) *overlay.Canvas {
	c := overlay.New(s.Photo.W, s.Photo.H, s.Photo.Pix)
	c.Tint(overlay.Orange, func(x, y int) float64 {
		if v.Sky.At(x-v.X0, y-v.Y0) {
			return sunInk
		}
		return 0
	})
	r := float64(v.Field.W) / 2
	mid := calibrate.Pixel{X: float64(v.X0) + r, Y: float64(v.Y0) + r}
	c.Circle(mid, r, overlay.White, lineWidth)
	sky, sun := shares.Sky(), shares.ExpectedSunlit()
	line := fmt.Sprintf("%.0f %% sky overhead (%.0f to %.0f); floor in the sun to be expected %.0f %% (%.0f to %.0f)",
		100*sky.Value, 100*sky.Low95, 100*sky.High95, 100*sun.Value, 100*sun.Low95, 100*sun.High95)
	if err := c.Text(calibrate.Pixel{X: 0, Y: float64(s.Photo.H)}, line, overlay.White); err != nil {
		return c // the drawing stands without its caption
	}
	return c
}
