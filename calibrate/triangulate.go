package calibrate

import "math"

// Triangulate is the point, in the first camera's frame (m), that a pixel of the
// first photo and one of the second see together: the middle of the shortest line
// between both sights (Hartley and Sturm 1997 call it the mid-point method). ok is
// false for sights that run side by side or meet behind a camera.
func (p *PairPose) Triangulate(first, second Pixel) (at Vec3, ok bool) {
	r, _ := p.Relative()
	from := p.Step()
	a := p.First.Camera.Ray(first).Unit()
	b := r.T().MulVec(p.Second.Camera.Ray(second)).Unit()
	// Nearest points s a and from + t b: both square to the line between them.
	c := a.Dot(b)
	den := 1 - c*c
	if den < 1e-12 {
		return Vec3{}, false
	}
	s := (from.Dot(a) - c*from.Dot(b)) / den
	t := (c*from.Dot(a) - from.Dot(b)) / den
	if s <= 0 || t <= 0 {
		return Vec3{}, false
	}
	return a.Scale(s).Add(from.Add(b.Scale(t))).Scale(0.5), true
}

// Project is where both photos show a point of the first camera's frame.
func (p *PairPose) Project(q Vec3) (first, second Pixel, ok bool) {
	r, t := p.Relative()
	first, ok1 := p.First.Camera.Project(q)
	second, ok2 := p.Second.Camera.Project(r.MulVec(q).Add(t))
	return first, second, ok1 && ok2
}

// Breakdown splits the variance that Propagate gives for fn into the board's print
// scale and the rest: how corners and matches fix the pose and the focal length.
func (p *PairPose) Breakdown(fn func(*PairPose) float64) []Part {
	all := p.Propagate(fn).SDM
	only := *p
	only.Cov = [pairParams][pairParams]float64{}
	only.Cov[pairScale][pairScale] = p.Cov[pairScale][pairScale]
	scale := only.Propagate(fn).SDM
	rest := all*all - scale*scale
	return Joined([]Part{{PartScale, scale}, {PartCorners, math.Sqrt(math.Max(rest, 0))}})
}
