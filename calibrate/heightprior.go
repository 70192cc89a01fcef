package calibrate

import "math"

// CameraHeight is what is known of the camera's height above the ground before
// a plumb, upright board: people hold a phone at about chest to eye height. It
// fixes the tilt of a small board far better than the board's own corners do: at
// 6 m, 0.15 m of camera height are 1.4 degrees of pitch.
type CameraHeight struct {
	MeanM, SDM float64 // SDM 0: nothing is known
	StandM     float64 // the board's bottom edge above the ground
}

// HeldPhone is the height a standing person's phone is held at, 1.5 m with a
// standard deviation of 0.15 m (common practice: between chest and eyes of
// people 1.55 to 1.90 m tall), over ground level with the board's foot.
func HeldPhone(standM float64) CameraHeight {
	const meanM, sdM = 1.50, 0.15
	return CameraHeight{MeanM: meanM, SDM: sdM, StandM: standM}
}

// A board pushed in by hand stands a degree off plumb, and the ground between camera
// and board falls or rises by a degree (common practice); either shifts the camera's
// height above the board's ground by that angle times the distance. Chosen with
// the wide set's tuning half in view, where boards lean and ground slopes to 5 degrees:
// 1 to 2 degrees in all halve the pitch's error there and move it by under a twentieth
// of a degree on boards that are plumb on level ground.
const plumbSDDeg, levelSDDeg = 1.0, 1.0

// residual is the prior's row, in standard deviations.
func (c CameraHeight) residual(b *BoardPose) float64 {
	ground := b.UprightGround(c.StandM)
	sight := b.ToCamera(SheetCentre())
	along := sight.Sub(ground.Normal.Scale(ground.Normal.Dot(sight))).Norm()
	tilt := math.Hypot(plumbSDDeg, levelSDDeg) / degreesPerRadian
	return (ground.CameraHeightM() - c.MeanM) / math.Hypot(c.SDM, along*tilt)
}
