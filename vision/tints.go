package vision

// #include "tints.h"
import "C"

import "unsafe"

// Tints are a picture's colours apart from brightness: ln(R/G) and ln(B/G), row by row.
type Tints struct {
	W, H   int
	RG, BG []float32
}

// NewTints averages light over (2 half + 1)^2 pixels, fewer at the edges, and adds dark to
// it; half is 4 at most. It uses the picture up: fresh memory costs more than the sums. kind
// holds SkyMark where there is sky, which lies above the horizon, and 0 elsewhere: the tints of
// sky are not told, and what is above the horizon is classed at once: sky, wood where it is
// grey, else foliage.
func NewTints(l *Linear, half int, dark float32, zone []Zone, g GreyTint, kind []SideClass) *Tints {
	if half > C.RL_BOX_MOST {
		panic("vision: tints: averaged over more pixels than there is room for")
	}
	if l.W*l.H > 0 {
		scratch, grey := make([]float32, C.rl_tints_floats(C.int(l.W), C.int(half))), g.c()
		C.rl_tints(floatsOf(l.R), floatsOf(l.G), floatsOf(l.B), ucharsOf(zone), C.int(l.W), C.int(l.H), C.int(half), C.float(dark),
			&grey, ucharsOf(kind), floatsOf(scratch))
	}
	return &Tints{l.W, l.H, l.R, l.B}
}

// GreyTint bounds the tints between which a pixel may be wood by itself.
type GreyTint struct{ LeastRG, MostRG, LeastBG float32 }

func (g GreyTint) c() C.rl_grey {
	return C.rl_grey{leastRG: C.float(g.LeastRG), mostRG: C.float(g.MostRG), leastBG: C.float(g.LeastBG)}
}

// TintCloud is a normal density of tints: its means, its variances and covariance, and the
// logarithm that is taken for that of their determinant. Where they have none over 0, it
// is nowhere.
type TintCloud struct{ MeanRG, MeanBG, VarRG, VarBG, Cov, LnDet float64 }

func (t TintCloud) c() C.rl_cloud {
	return C.rl_cloud{
		mr: C.double(t.MeanRG), mb: C.double(t.MeanBG), vr: C.double(t.VarRG), vb: C.double(t.VarBG), c: C.double(t.Cov),
		det: C.double(t.VarRG*t.VarBG - t.Cov*t.Cov), lnDet: C.double(t.LnDet),
	}
}

// Zone is where geometry puts a pixel of a side photo: the first three are what Bands
// tells apart.
type Zone = uint8

// The zones.
const (
	ZoneAbove  Zone = C.RL_ABOVE  // above the horizon
	ZoneMiddle Zone = C.RL_MIDDLE // between the horizon and the foot of the row's plane
	ZoneBelow  Zone = C.RL_BELOW  // nearer than the row
	ZoneSheet  Zone = C.RL_SHEET  // on the board
)

// SideClass is what a pixel of a side photo shows.
type SideClass uint8

// The classes.
const (
	SideSky     SideClass = C.RL_SKY
	SideFoliage SideClass = C.RL_FOLIAGE
	SideWood    SideClass = C.RL_WOOD
	SideGround  SideClass = C.RL_GROUND
	SideBoard   SideClass = C.RL_BOARD
)

// SkyMark stands, until a picture is classed, where there is sky, and 0 elsewhere.
const SkyMark SideClass = 1

// TintSplit says how tints under the horizon are parted.
type TintSplit struct {
	Grey GreyTint
	// Wood is what is grey where OnlyGrey is set, else what is likelier Bark than Soil and,
	// where HasLeaf is set, than Leaf.
	Bark, Soil, Leaf  TintCloud
	OnlyGrey, HasLeaf bool
	// Leaf is what lies over the line WeightRG x + WeightBG y = Limit; or
	// where LeafOnly is set what is nearer to Leaf than Near2, a squared distance in its own
	// spreads, and without Leaf nothing.
	WeightRG, WeightBG, Limit, Near2 float64
	LeafOnly                         bool
}

// NearMarks writes 1 to mark for each pixel of a zone whose tint is nearer to a cloud than
// near2, a squared distance in its own spreads (Mahalanobis 1936), 0 for the others.
func (t *Tints) NearMarks(zone []Zone, of Zone, cloud TintCloud, near2 float64, mark []uint8) {
	if n := len(mark); n > 0 {
		c := cloud.c()
		C.rl_mark_near(floatsOf(t.RG), floatsOf(t.BG), ucharsOf(zone), C.int(n), C.int(of), &c, C.double(near2), ucharsOf(mark))
	}
}

// CountMarks is in how many places v is mark.
func CountMarks[T ~uint8](v []T, mark T) int {
	if len(v) == 0 {
		return 0
	}
	return int(C.rl_count_marks(ucharsOf(v), C.int(len(v)), C.int(mark)))
}

// EveryMark lists the places where v is mark, thinned evenly to about most where there are
// more: every n-th, n the whole times that most goes into their number.
func EveryMark[T ~uint8](v []T, mark T, most int) []int32 {
	if len(v) == 0 {
		return nil
	}
	return everyMark(ucharsOf(v), len(v), C.int(mark), most)
}

// EveryMarked is EveryMark of the places that are in.
func EveryMarked(in []bool, most int) []int32 {
	if len(in) == 0 {
		return nil
	}
	return everyMark(boolsOf(in), len(in), 1, most)
}

func everyMark(v *C.uchar, length int, mark C.int, most int) []int32 {
	n := int(C.rl_count_marks(v, C.int(length), mark))
	step := max(1, n/most)
	if n/step == 0 {
		return nil
	}
	at := make([]int32, n/step)
	C.rl_every_mark(v, C.int(length), mark, C.int(step), (*C.int32_t)(unsafe.Pointer(&at[0])), C.int(len(at)))
	return at
}

// Classes classes the pixels that NewTints has not classed: those of every zone but
// ZoneAbove.
func (t *Tints) Classes(zone []Zone, s *TintSplit, kind []SideClass) {
	if len(kind) == 0 {
		return
	}
	flag := func(on bool) C.int {
		if on {
			return 1
		}
		return 0
	}
	split := C.rl_split{
		grey: s.Grey.c(), bark: s.Bark.c(), soil: s.Soil.c(), leaf: s.Leaf.c(),
		onlyGrey: flag(s.OnlyGrey), hasLeaf: flag(s.HasLeaf), leafOnly: flag(s.LeafOnly),
		wr: C.double(s.WeightRG), wb: C.double(s.WeightBG), limit: C.double(s.Limit), near2: C.double(s.Near2),
	}
	scratch := make([]float64, 2*t.W)
	C.rl_class_pixels(floatsOf(t.RG), floatsOf(t.BG), ucharsOf(zone), C.int(t.W), C.int(t.H), &split, ucharsOf(kind), doublesOf(scratch))
}
