package scene

import (
	"math"
	"slices"
)

// Truth is what the geometry says of a photo's subject. Names and meanings are
// those of the rendered truth set; a number that the photo is not about is nil.
type Truth struct {
	SunFraction *float64 `json:"sun_fraction_within_1p5m_of_board,omitempty"`
	FloorAreaM2 *float64 `json:"floor_area_within_1p5m_m2,omitempty"`
	HeightM     *float64 `json:"height_p999_m,omitempty"`
	CrownBaseM  *float64 `json:"crown_base_1pct_m,omitempty"`
	WidthM      *float64 `json:"max_width_1_99pct_m,omitempty"`
	ClearM      *float64 `json:"clear_2pct_m,omitempty"`
}

// FloorTruth returns the mean share of the sun's disc seen from the floor within
// a radius of the first board's middle, as far as the picture shows it, and that
// floor's area. The board's sheet and the feet of trunks are no floor. NaN where
// the picture shows none.
func (v *View) FloorTruth(radiusM float64) (share, areaM2 float64) {
	b := v.Boards[0]
	return v.Sunlit.Mean(b.Centre(), radiusM, func(x, y float64) bool {
		p := Vec3{x, y, 0}
		px, py, ok := v.Camera.Project(p)
		inside := ok && px >= -0.5 && py >= -0.5 && px < float64(v.Camera.WidthPx)-0.5 && py < float64(v.Camera.HeightPx)-0.5
		return inside && !b.covers(p) && !v.stand.inTrunk(p)
	})
}

// covers says whether a flat board lies over a place.
func (b Board) covers(p Vec3) bool {
	q := p.Sub(b.TopLeft)
	w, h := b.size()
	x, y := 1000*q.Dot(b.Right), 1000*q.Dot(b.Down)
	return x >= 0 && y >= 0 && x <= w && y <= h
}

// inTrunk says whether a place of the ground is under a trunk's foot.
func (s *Stand) inTrunk(p Vec3) bool {
	for _, t := range s.Trees {
		if d := p.Sub(t.Spec.At); math.Hypot(d.X, d.Y) < trunkShare*trunkFlare*t.Spec.HeightM {
			return true
		}
	}
	return false
}

// Shares of leaf corners that the truth set's names stand for.
const topShare, baseShare, faceShare = 0.999, 0.01, 0.02

// HeightM returns the height under which 99.9 % of the leaf corners lie.
func (t *Tree) HeightM() float64 {
	return quantile(t.gather(func(p Vec3) float64 { return p.Z }), topShare)
}

// CrownBaseM returns the height under which 1 % of the leaf corners lie.
func (t *Tree) CrownBaseM() float64 {
	return quantile(t.gather(func(p Vec3) float64 { return p.Z }), baseShare)
}

// WidthM returns the width along the row that holds the middle 98 % of the leaf
// corners.
func (t *Tree) WidthM() float64 {
	along := Heading(t.Spec.RowAzimuthDeg)
	x := t.gather(func(p Vec3) float64 { return p.Dot(along) })
	return quantile(x, 1-baseShare) - quantile(x, baseShare)
}

// gather takes one number from every leaf corner, sorted.
func (t *Tree) gather(of func(Vec3) float64) []float64 {
	var all []float64
	t.leafCorners(func(p Vec3) { all = append(all, of(p)) })
	slices.Sort(all)
	return all
}

// ClearWidthM returns the clear width of an alley that runs toward an azimuth
// through a point of its middle: face to face, the slice 0.25 m to both sides. A
// face is where 2 % of the leaf corners within 1 m of the innermost stand out. NaN
// where a side has none.
func (s *Stand) ClearWidthM(at Vec3, azimuthDeg float64) float64 {
	const sliceM = 0.25
	left, right := s.alleyFaces(at, azimuthDeg, -sliceM, sliceM)
	return left.face() + right.face()
}

// quantile returns the value under which a share of sorted values lies; NaN for
// none.
func quantile(sorted []float64, share float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	return sorted[int(share*float64(len(sorted)-1)+0.5)]
}

// TreesOnly is a stand for its lengths alone: no light is worked out, and it must
// not be photographed.
func TreesOnly(trees ...*Tree) *Stand { return &Stand{Trees: trees} }

// WidthAt is a crown's width at a height.
type WidthAt struct {
	HeightM float64 `json:"height_m"`
	WidthM  float64 `json:"width_2_98pct_m"`
}

// WidthsM returns the width along the row every half metre: from the 2nd to the
// 98th of 100 parts of the leaf corners within 0.10 m of the height; heights with
// few corners are left out.
func (t *Tree) WidthsM() []WidthAt {
	const stepM, halfM = 0.5, 0.10
	along := Heading(t.Spec.RowAzimuthDeg)
	bins := map[int][]float64{}
	top := 0
	t.leafCorners(func(p Vec3) {
		k := int(math.Round(p.Z / stepM))
		if math.Abs(p.Z-float64(k)*stepM) <= halfM {
			bins[k] = append(bins[k], p.Dot(along))
			top = max(top, k)
		}
	})
	var out []WidthAt
	for k := 1; k <= top; k++ {
		x := bins[k]
		if len(x) < leastCorners {
			continue
		}
		slices.Sort(x)
		out = append(out, WidthAt{float64(k) * stepM, round4(quantile(x, 1-faceShare) - quantile(x, faceShare))})
	}
	return out
}

// TopLeaf returns the highest leaf corner, the trunk's foot at the ground's height.
func (t *Tree) TopLeaf() Vec3 {
	var top Vec3
	t.leafCorners(func(p Vec3) {
		if p.Z > top.Z {
			top = p
		}
	})
	return top
}
