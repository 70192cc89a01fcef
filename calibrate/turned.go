package calibrate

// Turned returns the camera of a stored picture as it stands for the picture turned
// upright by an EXIF orientation (1..8; others leave it alone).
func (c Camera) Turned(orientation int) Camera {
	swap, flipX, flipY := turns(orientation)
	out := c
	if flipX { // x becomes -x: before the axes change places
		out.CxPx, out.P2 = float64(c.WidthPx-1)-out.CxPx, -out.P2
	}
	if flipY {
		out.CyPx, out.P1 = float64(c.HeightPx-1)-out.CyPx, -out.P1
	}
	if swap {
		out.WidthPx, out.HeightPx = c.HeightPx, c.WidthPx
		out.CxPx, out.CyPx, out.P1, out.P2 = out.CyPx, out.CxPx, out.P2, out.P1
		out.FPx, out.FyRel = c.FyPx(), c.FPx/c.FyPx()
	}
	if c.Spread != nil {
		out.Spread = c.Spread.turned(swap, flipX, flipY)
	}
	return out
}

// turns splits an EXIF orientation (EXIF 2.32, tag 0x0112) into flips of the stored
// picture, then a swap of its axes.
func turns(orientation int) (swap, flipX, flipY bool) {
	switch orientation {
	case 2:
		return false, true, false
	case 3:
		return false, true, true
	case 4:
		return false, false, true
	case 5:
		return true, false, false
	case 6: // a quarter clockwise: the lower left corner becomes the upper left
		return true, false, true
	case 7:
		return true, true, true
	case 8:
		return true, true, false
	}
	return false, false, false
}

// Stored returns where a pixel of the upright picture lies in the stored one, which
// is widthPx by heightPx.
func Stored(p Pixel, orientation, widthPx, heightPx int) Pixel {
	swap, flipX, flipY := turns(orientation)
	if swap {
		p.X, p.Y = p.Y, p.X
	}
	if flipX {
		p.X = float64(widthPx-1) - p.X
	}
	if flipY {
		p.Y = float64(heightPx-1) - p.Y
	}
	return p
}

// turned is the spread of a turned camera.
func (s *LensSpread) turned(swap, flipX, flipY bool) *LensSpread {
	sign := [spreadTerms]float64{1, 1, 1, 1, 1, 1, 1} // cx cy k1 k2 p1 p2 k3
	if flipX {
		sign[0], sign[5] = -1, -1
	}
	if flipY {
		sign[1], sign[4] = -1, -1
	}
	from := [spreadTerms]int{0, 1, 2, 3, 4, 5, 6}
	if swap {
		from = [spreadTerms]int{1, 0, 2, 3, 5, 4, 6}
	}
	var out LensSpread
	for i := range spreadTerms {
		for j := range spreadTerms {
			out.Cov[i][j] = sign[from[i]] * sign[from[j]] * s.Cov[from[i]][from[j]]
		}
	}
	return &out
}
