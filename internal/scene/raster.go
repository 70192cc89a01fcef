package scene

import (
	"sync"
	"sync/atomic"
)

// bandRows is how many rows of pixels one piece of work has: small enough to
// share out, its depth buffer small enough for the cache.
const bandRows = 32

// Frame is a picture in linear light, before exposure.
type Frame struct {
	W, H int
	Px   []RGB
}

// drawn is a face on the picture, in sample space.
type drawn struct {
	pts     [maxCorners + 1]point2
	n       uint8
	prop    bool
	face    int32
	a, b, c float64 // 1/depth = a x + b y + c
	cap     float64 // the greatest 1/depth of the corners
}

// band is the depth buffer of some rows.
type band struct {
	w, y0, rows int
	near        []float32 // 1/depth, 0 nothing
	hit         []int32   // index of the drawn face, -1 nothing
}

// Draw takes the photo. The bands do not touch each other's pixels and each
// draws its faces in the same order, so the picture does not depend on Workers.
func (v *View) Draw() *Frame {
	cam := &v.Camera
	out := &Frame{cam.WidthPx, cam.HeightPx, make([]RGB, cam.WidthPx*cam.HeightPx)}
	list := v.project()
	bins := v.bin(list)
	var next atomic.Int32
	var done sync.WaitGroup
	for range v.Workers {
		done.Go(func() {
			n := v.SamplesAcross
			b := &band{w: cam.WidthPx * n}
			b.near, b.hit = make([]float32, b.w*bandRows*n), make([]int32, b.w*bandRows*n)
			for k := int(next.Add(1)) - 1; k < len(bins); k = int(next.Add(1)) - 1 {
				v.drawBand(b, k, list, bins[k], out)
			}
		})
	}
	done.Wait()
	return out
}

// project puts every face that may be seen into sample space.
func (v *View) project() []drawn {
	var list []drawn
	for i := range v.stand.faces {
		if !v.skip[i] {
			list = v.projectFace(list, &v.stand.mesh, int32(i), false)
		}
	}
	for i := range v.props.faces {
		list = v.projectFace(list, &v.props, int32(i), true)
	}
	return list
}

func (v *View) projectFace(list []drawn, m *mesh, index int32, prop bool) []drawn {
	f := &m.faces[index]
	var in [maxCorners]Vec3
	var out [maxCorners + 1]Vec3
	seen := in[:0]
	ahead := false
	for _, c := range m.corners(f) {
		l := v.Camera.local(c)
		ahead = ahead || l.Z > nearM
		seen = append(seen, l)
	}
	if !ahead {
		return list
	}
	d := drawn{face: index, prop: prop}
	n := float64(v.SamplesAcross)
	for _, l := range clipNear(seen, out[:0]) {
		x, y := v.Camera.film(l)
		d.pts[d.n] = point2{(x+0.5)*n - 0.5, (y+0.5)*n - 0.5}
		d.cap = max(d.cap, 1/l.Z)
		d.n++
	}
	if d.n < 3 || v.outside(&d) {
		return list
	}
	v.setDepth(&d, f)
	return append(list, d)
}

// outside says whether a face lies wholly beside the picture.
func (v *View) outside(d *drawn) bool {
	w := float64(v.Camera.WidthPx * v.SamplesAcross)
	h := float64(v.Camera.HeightPx * v.SamplesAcross)
	left, right, above, below := true, true, true, true
	for _, p := range d.pts[:d.n] {
		left, right = left && p.X < 0, right && p.X > w
		above, below = above && p.Y < 0, below && p.Y > h
	}
	return left || right || above || below
}

// setDepth works out how 1/depth runs over a face: straight in the picture.
func (v *View) setDepth(d *drawn, f *face) {
	cam := &v.Camera
	n := Vec3{f.normal.Dot(cam.Right), f.normal.Dot(cam.Down), f.normal.Dot(cam.Ahead)}
	off := n.Dot(cam.local(f.centre))
	if off == 0 {
		d.c = d.cap // edge on: no area to speak of
		return
	}
	s := float64(v.SamplesAcross)
	cx, cy := cam.Centre()
	d.a, d.b = n.X/(off*cam.FocalPx*s), n.Y/(off*cam.FocalPx*s)
	x0, y0 := 0.5/s-0.5, 0.5/s-0.5 // the pixel place of sample 0, 0
	d.c = (n.X*(x0-cx)/cam.FocalPx + n.Y*(y0-cy)/cam.FocalPx + n.Z) / off
}

// bin lists, for each band, the faces that reach into it, in drawing order.
func (v *View) bin(list []drawn) [][]int32 {
	rows := bandRows * v.SamplesAcross
	bins := make([][]int32, (v.Camera.HeightPx+bandRows-1)/bandRows)
	for i := range list {
		d := &list[i]
		lo, hi := d.pts[0].Y, d.pts[0].Y
		for _, p := range d.pts[1:d.n] {
			lo, hi = min(lo, p.Y), max(hi, p.Y)
		}
		first := clampInt(lo/float64(rows), 0, len(bins)-1)
		last := clampInt(hi/float64(rows), 0, len(bins)-1)
		for k := first; k <= last; k++ {
			bins[k] = append(bins[k], int32(i))
		}
	}
	return bins
}

// drawBand finds what each sample of a band sees, then lights it.
func (v *View) drawBand(b *band, k int, list []drawn, faces []int32, out *Frame) {
	b.y0 = k * bandRows * v.SamplesAcross
	b.rows = min(bandRows, out.H-k*bandRows) * v.SamplesAcross
	for i := range b.near {
		b.near[i], b.hit[i] = 0, -1
	}
	for _, i := range faces {
		b.cover(&list[i], i)
	}
	v.shadeBand(b, list, out)
}

// cover writes a face into the depth buffer where it is nearest.
func (b *band) cover(d *drawn, index int32) {
	fill(d.pts[:d.n], window{0, b.y0, b.w, b.y0 + b.rows}, func(y, first, end int) {
		at := (y - b.y0) * b.w
		near, hit := b.near[at:at+b.w], b.hit[at:at+b.w]
		row := d.b*float64(y) + d.c
		for x := first; x < end; x++ {
			if z := float32(min(d.cap, d.a*float64(x)+row)); z > near[x] {
				near[x], hit[x] = z, index
			}
		}
	})
}
