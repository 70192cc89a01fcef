package scene

import "math"

// Leaves: reflectance above and below and what they let through, visible light
// (a few hundredths in blue and red, 0.1 in green; dark and glossy above; from
// memory). The means over the visible stay under 0.1.
func leafAbove() RGB   { return RGB{0.042, 0.082, 0.020} }
func leafBelow() RGB   { return RGB{0.075, 0.115, 0.050} }
func leafThrough() RGB { return RGB{0.040, 0.085, 0.010} }

const (
	// leafFold tips the two halves of a blade toward each other.
	leafFold = 0.22
	// leafGloss is the share of sun and sky thrown back by the wax.
	leafGloss, glossPower = 0.035, 24
)

// leaf lights a blade.
func (v *View) leaf(f *face, index int, p, ray Vec3) RGB {
	n := f.normal
	above := n.Z >= 0 // the upper side is the one that looks up
	if n.Dot(ray) > 0 {
		n, above = n.Scale(-1), !above
	}
	seen, far := v.sides(f, index, ray)
	bent := v.fold(f, n, p)
	sun := 0.0
	if v.sunUp.sees(p, sunBiasM) {
		sun = 1
	}
	cos := bent.Dot(v.toSun)
	front := v.around(seen, n).add(v.light.sunNormal.scale(sun * max(0, cos)))
	back := v.around(far, n.Scale(-1)).add(v.light.sunNormal.scale(sun * max(0, -cos)))
	skin := leafBelow()
	if above {
		skin = leafAbove()
	}
	out := skin.mul(front).add(leafThrough().mul(back)).scale(float64(f.shade) / math.Pi)
	if above {
		out = out.add(v.gloss(bent, ray, sun*max(0, cos), seen))
	}
	return out
}

// fold returns the normal of the half of the blade a point is on.
func (v *View) fold(f *face, n, p Vec3) Vec3 {
	first := int(f.first)
	across := v.stand.verts[first+5].Sub(v.stand.verts[first+1]).Unit()
	k := leafFold
	if p.Sub(f.centre).Dot(across) < 0 {
		k = -leafFold
	}
	return n.Add(across.Scale(k)).Unit()
}

// gloss is what the wax of the upper side throws back.
func (v *View) gloss(n, ray Vec3, sun, open float64) RGB {
	out := v.light.sky.scale(leafGloss * open)
	if sun > 0 {
		half := v.toSun.Sub(ray.Unit()).Unit()
		lobe := math.Pow(max(0, n.Dot(half)), glossPower) * (glossPower + 2) / (8 * math.Pi)
		out = out.add(v.light.sunNormal.scale(leafGloss * sun * lobe))
	}
	return out
}

// barkColour and stakeColour: grey-brown bark, a pale sawn stake.
func barkColour() RGB  { return RGB{0.17, 0.14, 0.11} }
func stakeColour() RGB { return RGB{0.38, 0.30, 0.20} }

// wood lights bark or a stake.
func (v *View) wood(f *face, open float64, p, ray Vec3) RGB {
	n := f.normal
	if n.Dot(ray) > 0 {
		n = n.Scale(-1)
	}
	skin := stakeColour()
	if f.kind == woodFace {
		grain := valueNoise(v.stand.seed+5, (p.X+p.Y)*70, p.Z*14) + 0.5*valueNoise(v.stand.seed+6, (p.X-p.Y)*160, p.Z*60)
		skin = barkColour().scale(float64(f.shade) * (0.55 + 0.6*grain))
	}
	light := v.around(open, n)
	if cos := n.Dot(v.toSun); cos > 0 {
		light = light.add(v.light.sunNormal.scale(cos * v.sunAt(p.Add(n.Scale(0.02)))))
	}
	return skin.mul(light).scale(1 / math.Pi)
}

// board lights the printed sheet. The print is averaged over the sample's own
// square, so that its edges lie where they are to a small part of a pixel.
func (v *View) board(f *face, px, py float64, p Vec3) RGB {
	b := v.Boards[f.group]
	n := b.Down.Cross(b.Right)
	if n.Dot(p.Sub(v.Camera.Eye)) > 0 {
		return RGB{0.5, 0.5, 0.5}.mul(v.onSheet(b, n.Scale(-1), p)).scale(1 / math.Pi) // its back
	}
	const looks = 4
	ink := 0.0
	for k := range looks * looks {
		dx := ((float64(k%looks)+0.5)/looks - 0.5) / float64(v.SamplesAcross)
		dy := ((float64(k/looks)+0.5)/looks - 0.5) / float64(v.SamplesAcross)
		ray := v.Camera.ray(px+dx, py+dy)
		t := n.Dot(b.TopLeft.Sub(v.Camera.Eye)) / n.Dot(ray)
		q := v.Camera.Eye.Add(ray.Scale(t)).Sub(b.TopLeft)
		ink += b.reflectance(1000*q.Dot(b.Right), 1000*q.Dot(b.Down))
	}
	ink /= looks * looks
	return v.onSheet(b, n, p).scale(ink / math.Pi)
}

// onSheet is the light on a board.
func (v *View) onSheet(b Board, n, p Vec3) RGB {
	if !b.Upright() {
		return v.onGround(p)
	}
	open := v.stand.open.at(p.X, p.Y) * math.Pi / 2 // half the sky, as open as at its foot
	light := v.around(open, n)
	if cos := n.Dot(v.toSun); cos > 0 {
		light = light.add(v.light.sunNormal.scale(cos * v.sunAt(p)))
	}
	return light
}
