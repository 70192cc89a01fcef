package scene

// Class is what a pixel shows, in the numbers of the rendered truth set.
type Class = uint8

// The classes.
const (
	SkyClass Class = iota
	TargetClass
	FoliageClass
	WoodClass
	GroundClass
	BoardClass
)

// Classes returns what the middle of each pixel shows, row by row; target is the
// index of the tree the photo is of, -1 for none.
func (v *View) Classes(target int) []Class {
	list, b := v.once(func(*face) bool { return true })
	out := make([]Class, len(b.hit))
	for i, hit := range b.hit {
		x, y := float64(i%b.w), float64(i/b.w)
		switch {
		case hit >= 0:
			out[i] = v.classOf(&list[hit], target)
		case v.stand.rise(v.Camera.ray(x, y)) < -1e-4:
			out[i] = GroundClass
		}
	}
	return out
}

func (v *View) classOf(d *drawn, target int) Class {
	if d.prop {
		if v.props.faces[d.face].kind == boardFace {
			return BoardClass
		}
		return WoodClass
	}
	f := &v.stand.faces[d.face]
	switch {
	case f.kind != leafFace:
		return WoodClass
	case int(f.tree) == target:
		return TargetClass
	}
	return FoliageClass
}

// once draws the faces that keep names with one sample a pixel.
func (v *View) once(keep func(*face) bool) ([]drawn, *band) {
	w := *v
	w.SamplesAcross = 1
	var list []drawn
	for i := range w.stand.faces {
		if f := &w.stand.faces[i]; !w.skip[i] && keep(f) {
			list = w.projectFace(list, &w.stand.mesh, int32(i), false)
		}
	}
	for i := range w.props.faces {
		if keep(&w.props.faces[i]) {
			list = w.projectFace(list, &w.props, int32(i), true)
		}
	}
	b := &band{w: w.Camera.WidthPx, rows: w.Camera.HeightPx}
	b.near, b.hit = make([]float32, b.w*b.rows), make([]int32, b.w*b.rows)
	for i := range b.hit {
		b.hit[i] = -1
	}
	for i := range list {
		b.cover(&list[i], int32(i))
	}
	return list, b
}

// FloorSeen returns the mean share of the sun's disc seen from the floor, weighted
// by ground area, over the pixels whose middle shows floor within a radius of the
// first board's middle; and that floor's area.
func (v *View) FloorSeen(classes []Class, radiusM float64) (share, areaM2 float64) {
	middle := v.Boards[0].Centre()
	sum := 0.0
	for i, c := range classes {
		if c != GroundClass {
			continue
		}
		ray := v.Camera.ray(float64(i%v.Camera.WidthPx), float64(i/v.Camera.WidthPx))
		t := -v.stand.rise(v.Camera.Eye) / v.stand.rise(ray)
		p := v.Camera.Eye.Add(ray.Scale(t))
		d := p.Sub(middle)
		lit, ok := v.Sunlit.At(p.X, p.Y)
		if d.X*d.X+d.Y*d.Y > radiusM*radiusM || !ok {
			continue
		}
		// A pixel's solid angle is 1/(f2 |ray|3); at distance t |ray| it covers
		// that times the distance squared over the cosine of the ray's slope.
		area := t * t / (v.Camera.FocalPx * v.Camera.FocalPx * -ray.Z)
		sum, areaM2 = sum+area*lit, areaM2+area
	}
	return sum / areaM2, areaM2
}
