package scene

import (
	"math"
	"slices"
)

// faceReachM: leaves this far behind the innermost still belong to a wall's face.
const faceReachM = 1.0

// leastCorners: a wall of fewer leaf corners has no face in the truth set.
const leastCorners = 20

// wall holds how far leaf corners stand from an alley's middle line, sorted,
// metres.
type wall []float64

// face is where 2 % of the corners near the innermost stand out; NaN without any.
func (w wall) face() float64 {
	if len(w) == 0 {
		return math.NaN()
	}
	n, _ := slices.BinarySearch(w, w[0]+faceReachM)
	return quantile(w[:n], faceShare)
}

// alleyFaces gathers the leaf corners to the left and right of a line that runs
// toward an azimuth through a point, from low to high metres along it.
func (s *Stand) alleyFaces(at Vec3, azimuthDeg, low, high float64) (left, right wall) {
	along, across := Heading(azimuthDeg), Heading(azimuthDeg+90)
	for _, t := range s.Trees {
		t.leafCorners(func(p Vec3) {
			d := p.Sub(at)
			if k := d.Dot(along); k < low || k > high {
				return
			}
			if x := d.Dot(across); x < 0 {
				left = append(left, -x)
			} else {
				right = append(right, x)
			}
		})
	}
	slices.Sort(left)
	slices.Sort(right)
	return left, right
}

// ClearWidth is a clear width in the words of the rendered truth set.
type ClearWidth struct {
	ClearM float64 `json:"clear_m"` // innermost leaf to innermost leaf
	FaceM  float64 `json:"clear_2pct_m"`
}

// ClearBetween returns the clear width of an alley over a stretch of it; nil where
// a side has too few leaves.
func (s *Stand) ClearBetween(at Vec3, azimuthDeg, low, high float64) *ClearWidth {
	left, right := s.alleyFaces(at, azimuthDeg, low, high)
	if len(left) < leastCorners || len(right) < leastCorners {
		return nil
	}
	return &ClearWidth{round4(left[0] + right[0]), round4(left.face() + right.face())}
}

// Innermost returns how far the innermost leaves of both sides stand from the line.
func (s *Stand) Innermost(at Vec3, azimuthDeg, low, high float64) (leftM, rightM float64, ok bool) {
	left, right := s.alleyFaces(at, azimuthDeg, low, high)
	if len(left) == 0 || len(right) == 0 {
		return 0, 0, false
	}
	return left[0], right[0], true
}

func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }
