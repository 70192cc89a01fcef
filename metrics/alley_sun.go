package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// AlleyFloorLook is a place of the floor that the photo shows, metres to the right
// of the camera and ahead, and whether the direct sun is kept from it.
type AlleyFloorLook struct {
	RightM, AheadM float64
	Shade          bool
}

// The sun sees the same crowns from another side: where their shade lies on the
// floor tells how deep they are, which the camera's own view hardly does.

const (
	// sunFogShare: so many looks are not as the model has them (flecks, a wet patch
	// taken for shade, branches that are no crown).
	sunFogShare = 0.08
	// looksPerVote: shade of one twig covers about half a metre; looks lie 0.2 m by
	// 0.3 m apart.
	looksPerVote = 8.0
	// sunSteps are how many layers of a crown the sun's way is summed over.
	sunSteps = 7
	// sunSlopeSD is the prior of the sun's slope (metres aside or along for each
	// metre down) where its height is not known: 45 degrees in the tail.
	sunSlopeSD = 0.6
	// sunRingSD is how well the sun's height, where known, gives the length of the
	// slope: clock, place and ground that is not quite level.
	sunRingSD = 0.05
	// leastLooks are too few to tell a shade's edge.
	leastLooks = 60
	sunWays    = 16 // directions tried for a start
)

// shadeChance is the model's chance that the sun does not reach a place.
func (f *alleyFit) shadeChance(rows *[2]alleyRow, c *crown, l AlleyFloorLook, yaw, sunX, sunY float64) float64 {
	low, high := c.baseM-0.15*(c.topM-c.baseM), c.topM+0.15*(c.topM-c.baseM)
	low = math.Max(low, 0)
	step := (high - low) / sunSteps
	x, y := l.RightM-yaw*l.AheadM, l.AheadM
	var tau float64
	for i := range sunSteps {
		z := low + (float64(i)+0.5)*step
		px, py := x+sunX*z, y+sunY*z
		for k := range rows {
			r := &rows[k]
			across := px*r.side - r.lineM
			if math.Abs(across) > crossReach*c.halfDepthM {
				continue
			}
			_, along := r.nearest(py, f.a.SpacingM)
			tau += c.density(across, along, z) // no tree is off its line yet
		}
	}
	length := step * math.Sqrt(1+sunX*sunX+sunY*sunY)
	return sunFogShare + (1-2*sunFogShare)*(1-f.a.exp.of(-c.perM*tau*length))
}

// slopeLength is the length of the sun's slope by its height, 0 unknown.
func (s *AlleyScene) slopeLength() float64 {
	if s.SunElevationDeg <= 0 {
		return 0
	}
	return 1 / math.Tan(s.SunElevationDeg*math.Pi/180)
}

// ringOff is how many standard deviations the sun's slope is off its height.
func (f *alleyFit) ringOff(u [alleyUnknowns]float64) float64 {
	want := f.a.scene.slopeLength()
	if want == 0 || len(f.looks) == 0 {
		return 0
	}
	return (math.Hypot(u[uSunX], u[uSunY]) - want) / (sunRingSD * math.Max(want, 0.3))
}

// ringPull adds the sun's height to the information and the gradient.
func (f *alleyFit) ringPull(u [alleyUnknowns]float64, info *mat.SymDense, grad *mat.VecDense) {
	want, n := f.a.scene.slopeLength(), math.Hypot(u[uSunX], u[uSunY])
	if want == 0 || len(f.looks) == 0 || n == 0 {
		return
	}
	sd := sunRingSD * math.Max(want, 0.3)
	off := f.ringOff(u)
	d := [2]float64{u[uSunX] / n / sd, u[uSunY] / n / sd}
	for i := range d {
		grad.SetVec(uSunX+i, grad.AtVec(uSunX+i)+off*d[i])
		for j := i; j < 2; j++ {
			info.SetSym(uSunX+i, uSunX+j, info.At(uSunX+i, uSunX+j)+d[i]*d[j])
		}
	}
}

// faceSun turns the start to the direction of the sun that explains the shade best.
func (f *alleyFit) faceSun(u [alleyUnknowns]float64) [alleyUnknowns]float64 {
	if len(f.looks) == 0 {
		return u
	}
	lengths := []float64{f.a.scene.slopeLength()}
	if lengths[0] == 0 {
		lengths = []float64{0.2, 0.5, 1}
	}
	best, at := math.Inf(1), u
	for _, n := range lengths {
		for k := range sunWays {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / sunWays)
			v := u
			v[uSunX], v[uSunY] = n*sin, n*cos
			if c := f.looksCost(v); c < best {
				best, at = c, v
			}
		}
	}
	return at
}

func (f *alleyFit) looksCost(u [alleyUnknowns]float64) (sum float64) {
	rows, c := f.model(u)
	for _, l := range f.looks {
		p := f.shadeChance(&rows, &c, l, u[uYaw], u[uSunX], u[uSunY])
		if !l.Shade {
			p = 1 - p
		}
		sum -= math.Log(p)
	}
	return sum / looksPerVote
}
