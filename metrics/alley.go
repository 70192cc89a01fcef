package metrics

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// AlleyRay is one line of sight down an alley: how far it goes to the right and
// up for each metre ahead, and whether it ends on canopy (leaf or wood) or goes
// through to sky or floor.
type AlleyRay struct {
	Right, Up float64
	Canopy    bool
}

// AlleyFoot is a place where a trunk seems to meet the ground: metres to the
// right of the camera and ahead of it along the alley, and how plainly it shows
// (0 not at all, about 1 and more a plain trunk).
type AlleyFoot struct{ RightM, AheadM, Score float64 }

// AlleyScene is what one photo tells of an alley.
type AlleyScene struct {
	CameraHeightM float64
	// The board's middle, which stands on the alley's centre line.
	BoardRightM, BoardAheadM float64
	Rays                     []AlleyRay // evenly spread over the photo, the board left out
	Feet                     []AlleyFoot
	// Floor is what lies in the sun and what in shade; empty where there is no sun.
	Floor           []AlleyFloorLook
	SunElevationDeg float64 // above the horizon; 0 unknown
	TreeSpacingM    float64 // in the row; 0 unknown
	RowSpacingM     float64 // trunk line to trunk line; 0 unknown
}

// Alley is the model fitted to an alley: two rows of like crowns.
type Alley struct {
	scene AlleyScene // its sights from left to right
	// SpacingM between trees of a row; 0 where the photo did not show it.
	SpacingM float64
	// FeetSeen is how many trunks' feet stand on the two rows' lines.
	FeetSeen   int
	rows       [2]alleyRow // left, right
	crown      crown
	headingRad float64 // of the rows, to the right of the scene's ahead
	// rowSDM is the error of each row's line from its feet, 0 where none are seen.
	rowSDM [2]float64
	// shiftM is what the other models that explain the photo about as well add to the
	// clear width of this one, the best.
	shiftM float64
	// widthSDM is the error that the clear width has in common all along.
	widthSDM float64
	// formSDM is what the model's form adds to the error of both crowns' depths.
	formSDM float64
	sunlit  bool // shade on the floor was fitted
	exp     *expTable
}

// alleyRow is one row of trees: its line, the place of one tree along it, and
// how far each tree is off the line (towards the alley's outside).
type alleyRow struct {
	side   float64 // -1 left, +1 right
	lineM  float64 // from the camera's own line, outward
	firstM float64 // a tree stands at firstM + k spacing
	known  bool    // the trees' places were seen
	trees  []treeOff
	first  int // the number of the first of them
}

// treeOff is how far a tree stands off its row's line, outward.
type treeOff struct{ m, sdM float64 }

const (
	// leastRays are too few to tell a wall from a tree.
	leastRays = 300
	// leastShare: an alley shows canopy and open space, each at least this much.
	leastShare = 0.05
)

// FitAlley fits two rows of like crowns to what a photo shows.
func FitAlley(s AlleyScene) (*Alley, error) {
	if err := enoughSeen(s); err != nil {
		return nil, err
	}
	s.Rays = leftToRight(s.Rays)
	var fits []*alleyFit
	exp := newExpTable()
	for _, g := range rowGuesses(s) {
		a := &Alley{scene: s, exp: exp}
		a.stand(g)
		evidence := g.score + a.placeTrees()
		f := newAlleyFit(a)
		f.run(evidence)
		fits = append(fits, f)
	}
	f := weigh(fits)
	f.a.turn(f.at[uYaw])
	f.a.placeEachTree(f)
	return f.a, nil
}

// leftToRight sorts sights by how far to the right they go.
func leftToRight(rays []AlleyRay) []AlleyRay {
	sorted := slices.Clone(rays)
	slices.SortFunc(sorted, func(p, q AlleyRay) int { return cmp.Or(cmp.Compare(p.Right, q.Right), cmp.Compare(p.Up, q.Up)) })
	return sorted
}

// PlacedBy is what tells how far off the walls are, beside their outline: the
// feet of trunks, the sun's shade on the floor, the block's row spacing. Empty
// where nothing does; one photo then cannot tell a narrow alley near by from a wide
// one farther off.
func (a *Alley) PlacedBy() []string {
	var out []string
	if len(a.rowFeet(0)) > 1 || len(a.rowFeet(1)) > 1 {
		out = append(out, "trunks' feet")
	}
	if a.sunlit {
		out = append(out, "shade on the floor")
	}
	if a.scene.RowSpacingM > 0 {
		out = append(out, "the row spacing")
	}
	return out
}

func enoughSeen(s AlleyScene) error {
	var n, canopy [2]float64
	for _, r := range s.Rays {
		k := 0
		if r.Right > 0 {
			k = 1
		}
		n[k]++
		if r.Canopy {
			canopy[k]++
		}
	}
	for k, name := range [2]string{"left", "right"} {
		share := canopy[k] / math.Max(n[k], 1)
		if n[0]+n[1] < leastRays || share < leastShare || share > 1-leastShare {
			return &Unusable{
				Reason: fmt.Sprintf("no wall and open alley to tell apart on the %s: canopy fills %.0f %% of that half", name, 100*share),
				Mend:   "stand on the alley's centre line, camera level and pointing straight down it, rows on both sides in the picture",
			}
		}
	}
	return nil
}
