package scene

import "math"

// fillIn puts the usual in place of zeros.
func (s *TreeSpec) fillIn() {
	s.Coarse = max(1, s.Coarse)
	if s.LeafScale <= 0 {
		s.LeafScale = 1
	}
	if s.ClusterM <= 0 {
		s.ClusterM = clusterRadiusM
	}
}

// leanAt is how far the crown has moved over at a height: more and more, as a
// leaning trunk bends.
func (s *TreeSpec) leanAt(z float64) Vec3 {
	if s.LeanAlongM == 0 && s.LeanAcrossM == 0 {
		return Vec3{}
	}
	k := math.Pow(max(0, z/s.HeightM), 1.3)
	return Heading(s.RowAzimuthDeg).Scale(k * s.LeanAlongM).Add(Heading(s.RowAzimuthDeg + 90).Scale(k * s.LeanAcrossM))
}

// hollowed moves an even draw out of an open centre's middle, at a share h of the
// way up the crown.
func (s *TreeSpec) hollowed(h, even float64) float64 {
	inner := math.Pow(s.Hollow, 1/shellPower) * smooth((h-0.3)/0.25)
	return inner + (1-inner)*even
}

// inWindow says whether a place of the crown was left free.
func (s *TreeSpec) inWindow(p Vec3) bool {
	for _, w := range s.Windows {
		z := s.BaseM + w.Up*(s.HeightM-s.BaseM)
		at := s.At.Add(Heading(s.RowAzimuthDeg).Scale(w.Along * s.AlongM)).
			Add(Heading(s.RowAzimuthDeg + 90).Scale(w.Across * s.AcrossM)).
			Add(Vec3{Z: z}).Add(s.leanAt(z))
		if p.Sub(at).Norm() < w.RadiusM {
			return true
		}
	}
	return false
}
