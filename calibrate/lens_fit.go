package calibrate

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// LensView is a board in one photo: its points (m, in the board's plane), the
// pixels of the picture as stored that show them, and its pose.
type LensView struct {
	Name   string
	Board  []Vec3
	Pixels []Pixel
	R      Mat3
	T      Vec3
}

const (
	viewTerms = 6 // rotation vector and translation
	// lensSteps of Gauss-Newton polish a start that is nearly right already.
	lensSteps = 12
)

// RefineLens polishes a lens and its views' poses together (Zhang 2000, section
// 3.3: least squares over all corners) and fills in the covariance of the nine
// numbers, the poses' doubt included, from the scatter of the corners. The start
// comes from a closed form or a library. Views are changed in place.
func RefineLens(start Lens, views []LensView) (Lens, error) {
	l := start
	l.Views, l.Corners = len(views), 0
	for _, v := range views {
		l.Corners += len(v.Pixels)
	}
	p := &lensProblem{lens: &l, views: views, free: l.Model.free()}
	unknowns := p.size()
	if 2*l.Corners <= unknowns {
		return Lens{}, fmt.Errorf("calibrate: %d corners for %d unknowns: %w", l.Corners, unknowns, ErrNoLens)
	}
	cost, lambda := p.cost(), 1e-4
	for range lensSteps {
		before, kept := l.terms(), append([]LensView(nil), views...)
		if !p.step(lambda) {
			return Lens{}, fmt.Errorf("calibrate: fit lens: %w", ErrNoLens)
		}
		next := p.cost()
		if !(next < cost) {
			l.setTerms(before)
			copy(views, kept)
			lambda *= 10
			continue
		}
		done := cost-next < 1e-10*cost
		cost, lambda = next, lambda/10
		if done {
			break
		}
	}
	l.RMSPx = math.Sqrt(cost / float64(l.Corners))
	return l, p.covariance(cost / float64(2*l.Corners-unknowns))
}

type lensProblem struct {
	lens  *Lens
	views []LensView
	free  [lensTerms]bool
}

// size is how many unknowns there are.
func (p *lensProblem) size() int {
	n := viewTerms * len(p.views)
	for _, f := range p.free {
		if f {
			n++
		}
	}
	return n
}

// project returns where a view's points should show.
func (v *LensView) project(c Camera) []Pixel {
	out := make([]Pixel, len(v.Board))
	for i, b := range v.Board {
		px, ok := c.Project(v.R.MulVec(b).Add(v.T))
		if !ok {
			px = Pixel{1e6, 1e6}
		}
		out[i] = px
	}
	return out
}

func (p *lensProblem) cost() float64 {
	var sum float64
	c := p.lens.pinhole()
	for i := range p.views {
		for k, px := range p.views[i].project(c) {
			d := px.Dist(p.views[i].Pixels[k])
			sum += d * d
		}
	}
	return sum
}

// pinhole is the lens as a bare camera.
func (l *Lens) pinhole() Camera {
	return Camera{FPx: l.FxPx, FyRel: l.FyPx / l.FxPx, CxPx: l.CxPx, CyPx: l.CyPx, K1: l.K1, K2: l.K2, P1: l.P1, P2: l.P2, K3: l.K3}
}

// normal builds the normal equations: lens terms first, then each view's six.
func (p *lensProblem) normal() (*mat.SymDense, *mat.VecDense) {
	n := p.size()
	a, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	at := n - viewTerms*len(p.views)
	for i := range p.views {
		v := &p.views[i]
		cols, places := p.columns(v, at+viewTerms*i)
		base := v.project(p.lens.pinhole())
		for x, cx := range cols {
			var r float64
			for k, d := range cx {
				r += d.X*(base[k].X-v.Pixels[k].X) + d.Y*(base[k].Y-v.Pixels[k].Y)
			}
			g.SetVec(places[x], g.AtVec(places[x])+r)
			for y := x; y < len(cols); y++ {
				var s float64
				for k, d := range cx {
					s += d.X*cols[y][k].X + d.Y*cols[y][k].Y
				}
				a.SetSym(places[x], places[y], a.At(places[x], places[y])+s)
			}
		}
	}
	return a, g
}

// columns returns the derivatives of a view's pixels by every unknown that moves
// them, central differences, and the unknowns' places.
func (p *lensProblem) columns(v *LensView, at int) (cols [][]Pixel, places []int) {
	const rel = 1e-6
	terms := p.lens.terms()
	place := 0
	for i, free := range p.free {
		if !free {
			continue
		}
		h := rel * math.Max(1, math.Abs(terms[i]))
		up, down := *p.lens, *p.lens
		t := terms
		t[i] = terms[i] + h
		up.setTerms(t)
		t[i] = terms[i] - h
		down.setTerms(t)
		cols = append(cols, slope(v.project(up.pinhole()), v.project(down.pinhole()), 2*h))
		places = append(places, place)
		place++
	}
	c := p.lens.pinhole()
	for i := range viewTerms {
		var d [viewTerms]float64
		d[i] = rel
		up := v.moved(d)
		d[i] = -rel
		down := v.moved(d)
		cols = append(cols, slope(up.project(c), down.project(c), 2*rel))
		places = append(places, at+i)
	}
	return cols, places
}

func slope(up, down []Pixel, width float64) []Pixel {
	out := make([]Pixel, len(up))
	for i := range up {
		out[i] = Pixel{(up[i].X - down[i].X) / width, (up[i].Y - down[i].Y) / width}
	}
	return out
}

// moved turns the view about the camera's axes and shifts it.
func (v *LensView) moved(d [viewTerms]float64) LensView {
	out := *v
	out.R = Rotation(Vec3{d[0], d[1], d[2]}).Mul(v.R)
	out.T = v.T.Add(Vec3{d[3], d[4], d[5]})
	return out
}

// step takes one damped Gauss-Newton step; false where the equations fix nothing.
func (p *lensProblem) step(lambda float64) bool {
	a, g := p.normal()
	for i := range a.SymmetricDim() {
		a.SetSym(i, i, a.At(i, i)*(1+lambda))
	}
	s, ok := descent(a, g)
	if !ok {
		return false
	}
	t, place := p.lens.terms(), 0
	for i, free := range p.free {
		if free {
			t[i] += s[place]
			place++
		}
	}
	p.lens.setTerms(t)
	for i := range p.views {
		var d [viewTerms]float64
		for k := range d {
			d[k] = s[place+viewTerms*i+k]
		}
		p.views[i] = p.views[i].moved(d)
	}
	return true
}

// covariance fills in the lens's, for corners of a given variance (px2, each way).
func (p *lensProblem) covariance(variance float64) error {
	a, _ := p.normal()
	inv, ok := inverse(a)
	if !ok {
		return fmt.Errorf("calibrate: fit lens: %w", ErrNoLens)
	}
	var places [lensTerms]int
	place := 0
	for i, free := range p.free {
		places[i] = -1
		if free {
			places[i] = place
			place++
		}
	}
	p.lens.Cov = [lensTerms][lensTerms]float64{}
	for i, a := range places {
		for j, b := range places {
			if a >= 0 && b >= 0 {
				p.lens.Cov[i][j] = inv.At(a, b) * variance
			}
		}
	}
	return nil
}

// CornerSDPx is how far, one standard deviation, the lens's doubt may show a ray at
// the picture's corner off its place, pixels, the focal length's left out.
func (l *Lens) CornerSDPx() float64 {
	var worst float64
	for _, px := range []Pixel{{0, 0}, {float64(l.WidthPx - 1), 0}, {0, float64(l.HeightPx - 1)}, {float64(l.WidthPx - 1), float64(l.HeightPx - 1)}} {
		c := l.Camera()
		ray := c.Ray(px)
		for axis := range 2 {
			v := c.Spread.variance(&BoardPose{Camera: c}, func(b *BoardPose) float64 {
				p, _ := b.Camera.Project(ray)
				return [2]float64{p.X, p.Y}[axis]
			})
			worst = math.Max(worst, math.Sqrt(v))
		}
	}
	return worst
}

// RMSPx is the root mean square distance of the view's corners from where a camera
// shows them, pixels.
func (v *LensView) RMSPx(c Camera) float64 {
	var sum float64
	for i, px := range v.project(c) {
		d := px.Dist(v.Pixels[i])
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(v.Pixels)))
}
