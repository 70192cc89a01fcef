package metrics

// GroundState is what a piece of ground in a photo shows.
type GroundState uint8

// The states of ground.
const (
	GroundUnseen GroundState = iota // hidden, or outside the photo
	GroundSunlit
	GroundShaded // the direct sun is kept from it
)

// GroundShade is the ground about a tree, seen in a side photo under direct sun. Cell
// (i, j) lies LeftM + (i+0.5) CellM along the row from the board's centre and NearM +
// (j+0.5) CellM behind the row's plane (negative on the camera's side).
type GroundShade struct {
	W, H            int
	CellM           float64
	LeftM, NearM    float64
	State           []GroundState // row by row from the camera away
	SunElevationDeg float64       // above the horizon
}

// XM is the place of column i along the row.
func (g *GroundShade) XM(i int) float64 { return g.LeftM + (float64(i)+0.5)*g.CellM }

// BehindM is how far behind the row's plane row j lies.
func (g *GroundShade) BehindM(j int) float64 { return g.NearM + (float64(j)+0.5)*g.CellM }

// shadeShares is the share of shade in what is seen about each cell (binomial weights over
// three by three); unseenShade where under a quarter is seen.
func (g *GroundShade) shadeShares() []float32 {
	out := make([]float32, len(g.State))
	for j := range g.H {
		for i := range g.W {
			var seen, shaded float32
			for b := max(0, j-1); b <= min(g.H-1, j+1); b++ {
				for a := max(0, i-1); a <= min(g.W-1, i+1); a++ {
					w := float32((2 - abs(a-i)) * (2 - abs(b-j)))
					switch g.State[b*g.W+a] {
					case GroundShaded:
						shaded += w
						seen += w
					case GroundSunlit:
						seen += w
					}
				}
			}
			if out[j*g.W+i] = unseenShade; seen >= leastSeenWeight {
				out[j*g.W+i] = shaded / seen
			}
		}
	}
	return out
}

// unseenShade marks ground that is not seen; leastSeenWeight is a quarter of the weights'
// sum of 16.
const unseenShade, leastSeenWeight = -1, 4

func abs(n int) int { return max(n, -n) }
