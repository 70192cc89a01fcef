package scene

import "math"

// maxAcross is the most samples a pixel has in a direction.
const maxAcross = 4

// shadeBand lights the samples of a band and averages them into pixels.
func (v *View) shadeBand(b *band, list []drawn, out *Frame) {
	n := v.SamplesAcross
	for y := 0; y < b.rows; y += n {
		row := out.Px[(b.y0+y)/n*out.W:]
		for x := 0; x < b.w; x += n {
			row[x/n] = v.pixel(b, x, y, list)
		}
	}
}

// pixel lights one pixel. Samples that see the same face are lit together, at
// their middle; the board's are lit one by one, for its print.
func (v *View) pixel(b *band, x, y int, list []drawn) RGB {
	n := v.SamplesAcross
	var done [maxAcross * maxAcross]bool
	var sum RGB
	for k := range n * n {
		if done[k] {
			continue
		}
		hit := b.hit[(y+k/n)*b.w+x+k%n]
		whole := hit < 0 || !list[hit].prop
		var count, px, py float64
		var near float32
		for m := k; m < n*n; m++ {
			at := (y+m/n)*b.w + x + m%n
			if m != k && (done[m] || !whole || b.hit[at] != hit) {
				continue
			}
			done[m] = true
			count++
			px, py, near = px+float64(x+m%n), py+float64(b.y0+y+m/n), near+b.near[at]
		}
		px, py = (px/count+0.5)/float64(n)-0.5, (py/count+0.5)/float64(n)-0.5
		c := v.sample(px, py, near/float32(count), hit, list)
		sum = sum.add(c.scale(count / float64(n*n)))
	}
	return sum
}

// sample returns the light that comes in at a place of the picture.
func (v *View) sample(px, py float64, near float32, hit int32, list []drawn) RGB {
	ray := v.Camera.ray(px, py)
	if hit < 0 {
		fall := v.stand.rise(ray)
		if fall >= -1e-4 {
			return v.heaven(ray.Unit())
		}
		t := -v.stand.rise(v.Camera.Eye) / fall
		return v.ground(v.Camera.Eye.Add(ray.Scale(t)), ray, t)
	}
	d := &list[hit]
	p := v.Camera.Eye.Add(ray.Scale(1 / float64(near)))
	if d.prop {
		f := &v.props.faces[d.face]
		if f.kind == boardFace {
			return v.board(f, px, py, p)
		}
		return v.wood(f, 1, p, ray)
	}
	f := &v.stand.faces[d.face]
	if f.kind == woodFace {
		front, _ := v.sides(f, int(d.face), ray)
		return v.wood(f, front, p, ray)
	}
	return v.leaf(f, int(d.face), p, ray)
}

// sides returns how open the seen and the far side of a face are to the sky.
func (v *View) sides(f *face, index int, ray Vec3) (seen, far float64) {
	front, back := float64(v.stand.openFront[index]), float64(v.stand.openBack[index])
	if f.normal.Dot(ray) > 0 {
		return back, front
	}
	return front, back
}

// heaven is sky, or the wooded skyline low down.
func (v *View) heaven(d Vec3) RGB {
	az := math.Atan2(d.X, d.Y) / degree
	skyline := 0.020 + 0.022*valueNoise(v.stand.seed+7, az/7, 0) + 0.006*valueNoise(v.stand.seed+8, az*1.3, 0)
	if d.Z < skyline {
		k := 0.8 + 0.4*valueNoise(v.stand.seed+9, az*3, d.Z*250)
		far := RGB{0.035, 0.050, 0.030}.scale(k * (float64(v.light.sunNormal[1])/math.Pi*0.8 + float64(v.light.sky[1])))
		return far.mix(v.light.sky, 0.25) // air between
	}
	return v.sky.radiance(d, v.toSun)
}

// ground lights the floor at a place seen along a ray t long.
func (v *View) ground(p, ray Vec3, t float64) RGB {
	cos := -v.stand.rise(ray) / ray.Norm()
	footprint := t / (v.Camera.FocalPx * math.Sqrt(max(cos, 0.02)))
	return v.stand.floorReflectance(v.tiles, p.X, p.Y, footprint).mul(v.onGround(p)).scale(1 / math.Pi)
}

// onGround is the light that falls on level ground.
func (v *View) onGround(p Vec3) RGB {
	lit, ok := v.Sunlit.At(p.X, p.Y)
	if !ok {
		lit = v.sunAt(p)
	}
	open := v.stand.open.at(p.X, p.Y)
	return v.light.sunNormal.scale(lit * max(0, v.toSun.Dot(v.stand.normal()))).
		add(v.light.sky.scale(math.Pi * open)).
		add(v.light.canopy.scale(math.Pi * (1 - open)))
}

// sunAt is 1 where the middle of the sun is seen, softened over four looks.
func (v *View) sunAt(p Vec3) float64 {
	const off = 0.007
	seen := 0.0
	for k := range 4 {
		q := p.Add(v.sunUp.u.Scale((float64(k&1) - 0.5) * 2 * off)).Add(v.sunUp.v.Scale((float64(k>>1) - 0.5) * 2 * off))
		if v.sunUp.sees(q, sunBiasM) {
			seen += 0.25
		}
	}
	return seen
}

// around is the light on a side of a face from sky, crowns and ground, given how
// open that side is (0 to pi) and which way it looks.
func (v *View) around(open float64, n Vec3) RGB {
	up := math.Pi * (1 + n.Z) / 2
	down := math.Pi - up
	return v.light.sky.scale(open).
		add(v.light.canopy.scale(max(0, up-open) + 0.5*down)).
		add(v.light.ground.scale(0.5 * down))
}
