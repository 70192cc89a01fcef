package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Tints against the definition, also where the raster is smaller than the square, and with
// whole blocks of sky, whose tints are not asked for; and the classes over the horizon.
func TestTints(t *testing.T) {
	const dark = 1e-3
	grey := GreyTint{LeastRG: -0.5, MostRG: 0.4, LeastBG: -0.6}
	for _, size := range [][3]int{{9, 7, 1}, {40, 3, 2}, {1, 1, 1}, {2, 30, 1}, {5, 5, 4}, {200, 9, 1}, {97, 12, 2}} {
		w, h, half := size[0], size[1], size[2]
		l := &Linear{w, h, noise(w * h), noise(w * h), noise(w * h)}
		zone, sky := make([]Zone, w*h), make([]SideClass, w*h)
		for i := range zone {
			if zone[i] = Zone(i / w * 3 / h); zone[i] == ZoneAbove && (i%w/64 == 1 || i%7 == 0) {
				sky[i] = SkyMark
			}
		}
		kind := append([]SideClass(nil), sky...)
		got := NewTints(&Linear{w, h, append([]float32(nil), l.R...), l.G, append([]float32(nil), l.B...)}, half, dark, zone, grey, kind)
		for i := range l.R {
			var r, g, b, n float64
			for k := range l.R {
				if abs(k%w-i%w) <= half && abs(k/w-i/w) <= half {
					r, g, b, n = r+float64(l.R[k]), g+float64(l.G[k]), b+float64(l.B[k]), n+1
				}
			}
			rg, bg := math.Log((r/n+dark)/(g/n+dark)), math.Log((b/n+dark)/(g/n+dark))
			want := SideSky
			if sky[i] == 0 {
				if math.Abs(float64(got.RG[i])-rg) > 1e-4 || math.Abs(float64(got.BG[i])-bg) > 1e-4 {
					t.Fatalf("%v, pixel %d: %g and %g, want %g and %g", size, i, got.RG[i], got.BG[i], rg, bg)
				}
				if rg, bg := got.RG[i], got.BG[i]; zone[i] != ZoneAbove {
					want = 0
				} else if want = SideFoliage; rg > grey.LeastRG && rg < grey.MostRG && bg > grey.LeastBG {
					want = SideWood
				}
			}
			if kind[i] != want {
				t.Fatalf("%v, pixel %d, zone %d, sky %v: class %d, want %d", size, i, zone[i], sky[i] != 0, kind[i], want)
			}
		}
	}
}

func TestEveryMark(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		v := make([]uint8, rnd.IntN(700))
		var all, want []int32
		for i := range v {
			if v[i] = uint8(rnd.IntN(3)); v[i] == 2 {
				all = append(all, int32(i))
			}
		}
		most := 1 + rnd.IntN(100)
		step := max(1, len(all)/most)
		for k := step - 1; k < len(all); k += step {
			want = append(want, all[k])
		}
		got := EveryMark(v, 2, most)
		if len(got) != len(want) {
			t.Fatalf("%d of %d, want %d", len(got), len(all), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("place %d: %d, want %d", i, got[i], want[i])
			}
		}
	}
}

// near is a cloud's squared distance by its definition.
func (c TintCloud) near(rg, bg float32) float64 {
	dr, db := float64(rg)-c.MeanRG, float64(bg)-c.MeanBG
	return (c.VarBG*dr*dr - 2*c.Cov*dr*db + c.VarRG*db*db) / (c.VarRG*c.VarBG - c.Cov*c.Cov)
}

func (c TintCloud) density(rg, bg float32) float64 { return -c.near(rg, bg) - c.LnDet }

// Every way of parting tints against its definition.
func TestClasses(t *testing.T) {
	const w, h = 300, 20
	tints := &Tints{W: w, H: h, RG: noise(w * h), BG: noise(w * h)}
	zone, rnd := make([]Zone, w*h), rand.New(rand.NewPCG(4, 4))
	for i := range zone {
		if zone[i] = Zone(rnd.IntN(4)); i < 3*w {
			zone[i] = ZoneAbove
		}
	}
	bark := TintCloud{0.4, 0.5, 0.03, 0.05, 0.01, -6}
	soil, leaf := TintCloud{0.7, 0.2, 0.04, 0.04, 0, -6}, TintCloud{0.2, 0.7, 0.05, 0.03, -0.01, -6}
	for k := range 8 {
		s := TintSplit{Grey: GreyTint{0.2, 0.6, 0.3}, Bark: bark, Soil: soil, Leaf: leaf, OnlyGrey: k&1 != 0, HasLeaf: k&2 != 0, LeafOnly: k&4 != 0,
			WeightRG: -1, WeightBG: 2, Limit: 0.6, Near2: 3}
		kind, marked := make([]SideClass, w*h), 0
		for i := range kind {
			if zone[i] == ZoneAbove { // classed before
				kind[i] = SideClass(rnd.IntN(3))
			}
		}
		before, nearMark := append([]SideClass(nil), kind...), make([]uint8, w*h)
		tints.NearMarks(zone, ZoneMiddle, leaf, s.Near2, nearMark)
		tints.Classes(zone, &s, kind)
		for i := range kind {
			rg, bg := tints.RG[i], tints.BG[i]
			grey := rg > s.Grey.LeastRG && rg < s.Grey.MostRG && bg > s.Grey.LeastBG
			if got := nearMark[i] == 1; got != (zone[i] == ZoneMiddle && leaf.near(rg, bg) < s.Near2) {
				t.Fatalf("pixel %d: near %v", i, got)
			}
			want := before[i]
			if zone[i] != ZoneAbove {
				want = classBy(&s, zone[i], grey, rg, bg)
			}
			if kind[i] != want {
				t.Fatalf("split %d, zone %d, pixel %d: class %d, want %d", k, zone[i], i, kind[i], want)
			}
			marked += int(nearMark[i])
		}
		if marked == 0 {
			t.Fatal("nothing is near the leaves: nothing is tested")
		}
	}
}

func classBy(s *TintSplit, zone Zone, grey bool, rg, bg float32) SideClass {
	wood, leaf := grey, -rg+2*bg > 0.6
	if !s.OnlyGrey {
		as := s.Bark.density(rg, bg)
		wood = bg >= s.Grey.LeastBG && as > s.Soil.density(rg, bg) && (!s.HasLeaf || as > s.Leaf.density(rg, bg))
	}
	if s.LeafOnly {
		leaf = s.HasLeaf && s.Leaf.near(rg, bg) < s.Near2
	}
	switch {
	case zone == ZoneSheet:
		return SideBoard
	case wood:
		return SideWood
	case zone == ZoneMiddle && leaf:
		return SideFoliage
	}
	return SideGround
}

// A cloud without any spread is like nothing, and nothing is near it.
func TestPointCloudIsNowhere(t *testing.T) {
	tints := &Tints{W: 1, H: 1, RG: []float32{0.5}, BG: []float32{0.5}}
	point, mark := TintCloud{MeanRG: 0.5, MeanBG: 0.5}, []uint8{7}
	if tints.NearMarks([]Zone{ZoneBelow}, ZoneBelow, point, 6, mark); mark[0] != 0 {
		t.Errorf("marked %d", mark[0])
	}
	kind := []SideClass{0}
	tints.Classes([]Zone{ZoneMiddle}, &TintSplit{Bark: TintCloud{0, 0, 1, 1, 0, 0}, Soil: point, Leaf: point, HasLeaf: true, LeafOnly: true, Near2: 6}, kind)
	if kind[0] != SideWood {
		t.Errorf("class %d, want wood: neither soil nor leaf is like it", kind[0])
	}
}
