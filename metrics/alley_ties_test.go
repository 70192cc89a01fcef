package metrics

import (
	"math"
	"testing"
)

// Walls whose trunks do not show: an outline alone cannot tell a small alley near
// by from a large one farther off; the row spacing and the board can. The bounds
// are two standard deviations of what is tied. (How far the crowns reach from the
// lines stays open on plane walls, and is not judged here.)
func TestRowSpacingSetsTheLinesWhereNoTrunkShows(t *testing.T) {
	for _, c := range []struct{ face, foot, base, top float64 }{
		{1.6, 3.25, 0.8, 4.5}, {1.4, 3.75, 0.5, 5.0}, {1.0, 1.9, 0.3, 3.5},
	} {
		s := boxAlley(c.face, c.foot, c.base, c.top)
		s.Feet = nil
		if a, err := FitAlley(s); err != nil || len(a.PlacedBy()) > 0 {
			t.Errorf("without feet and spacing: placed, or %v", err)
		}
		s.RowSpacingM = 2 * c.foot
		a, err := FitAlley(s)
		if err != nil || len(a.PlacedBy()) == 0 {
			t.Fatal("with the spacing: not placed, or ", err)
		}
		left, right := a.rows[0].lineM, a.rows[1].lineM
		if d := math.Abs(left + right - s.RowSpacingM); d > 2*rowSpacingRelSD*s.RowSpacingM {
			t.Errorf("rows %.2f m apart, %.2f m known", left+right, s.RowSpacingM)
		}
		centre := (right-left)/2 + a.headingRad*s.BoardAheadM
		if math.Abs(centre) > 2*boardCentreSDM {
			t.Errorf("the rows' middle is %.2f m beside the board, which stands on it", centre)
		}
	}
}

// A false foot in the alley must not outweigh a row spacing that it contradicts.
func TestRowSpacingRefusesFeetInTheAlley(t *testing.T) {
	s := boxAlley(1.6, 3.25, 0.8, 4.5)
	for y := 4.0; y < 15; y += 4 {
		s.Feet = append(s.Feet, AlleyFoot{-1.2, y, 1})
	}
	s.RowSpacingM = 6.5
	a, err := FitAlley(s)
	if err != nil {
		t.Fatal(err)
	}
	for k, r := range a.rows {
		if math.Abs(r.lineM-3.25) > 2*footOffM {
			t.Errorf("row %d at %.2f m, its trunks stand at 3.25", k, r.lineM)
		}
	}
}
