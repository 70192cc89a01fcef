package calibrate

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

// residual is the prior's row, in standard deviations.
func (c CameraHeight) residual(b *BoardPose) float64 {
	return (b.UprightGround(c.StandM).CameraHeightM() - c.MeanM) / c.SDM
}
