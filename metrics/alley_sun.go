package metrics

import (
	"cmp"
	"math"
	"slices"

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
	// sunOver: beyond its base and top, as a share of its height, a crown's leaves still
	// count.
	sunOver = 0.15
	// shadeEdge is half the width, in half depths, over which leaves cease to count.
	shadeEdge = 0.1
	// sunSlopeSD is the prior of the sun's slope (metres aside or along for each
	// metre down) where its height is not known: 45 degrees in the tail.
	sunSlopeSD = 0.6
	// sunRingSD is how well the sun's height, where known, gives the length of the
	// slope: clock, place and ground that is not quite level.
	sunRingSD = 0.05
	// leastLooks are too few to tell a shade's edge.
	leastLooks = 60
	sunWays    = 16 // directions tried for a start
	// Of these, by one look of fewLooks, the best few are held against all looks.
	fewLooks, bestWays = 4, 6
)

// sunLayer is one of the heights that the sun's way is summed over.
type sunLayer struct {
	across, trees         float64 // the sun's way down from there, in half depths and trees
	side                  float64 // |h|^n there
	sideByBase, sideByTop float64 // its slopes by the unknowns
	form                  float64 // and by ln of its exponent
	which                 int     // which exponent that is: 0 low, 1 high
	steps                 float64 // how high it lies above the lowest layer's lower end
}

// face lays the sun's ways down.
func (m *alleyModel) face(sunX, sunY float64) {
	c := &m.crown
	over := sunOver * (c.topM - c.baseM)
	low, high := c.baseM-over, c.topM+over
	lowBase, lowTop := 1+sunOver, -sunOver // by the crown's base and top, m
	if low < 0 {
		low, lowBase, lowTop = 0, 0, 0
	}
	m.sunX, m.sunY, m.sunStepM = sunX, sunY, (high-low)/sunSteps
	byBase, byTop := (-sunOver-lowBase)/sunSteps, (1+sunOver-lowTop)/sunSteps
	m.sunLowM = low
	m.sunBase, m.sunTop = byBase*m.baseByBase+byTop*m.topByBase, byTop*m.topByTop
	m.lowBase, m.lowTop = lowBase*m.baseByBase+lowTop*m.topByBase, lowTop*m.topByTop
	for i := range m.sun {
		l, n := &m.sun[i], float64(i)+0.5
		z := low + n*m.sunStepM
		zBase, zTop := lowBase+n*byBase, lowTop+n*byTop
		h := (2*z - c.topM - c.baseM) * c.perHalf
		var perH float64
		l.which, l.side, perH, l.form = c.sideSlopes(h)
		hBase, hTop := (2*zBase+h-1)*c.perHalf*perH, (2*zTop-h-1)*c.perHalf*perH
		l.sideByBase, l.sideByTop = hBase*m.baseByBase+hTop*m.topByBase, hTop*m.topByTop
		l.steps, l.across, l.trees = n, sunX*z*c.perDepth, sunY*z*m.perTree
	}
	first, last := m.sun[0].across, m.sun[sunSteps-1].across
	m.sunLeft, m.sunRight = min(first, last), max(first, last)
	slant := 1 + sunX*sunX + sunY*sunY
	m.sunLengthM = m.sunStepM * math.Sqrt(slant)
	m.perBase, m.perTop, m.perX, m.perY = m.sunBase/m.sunStepM, m.sunTop/m.sunStepM, sunX/slant, sunY/slant
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
	if want == 0 || f.looks.Len() == 0 {
		return 0
	}
	return (math.Hypot(u[uSunX], u[uSunY]) - want) / (sunRingSD * math.Max(want, 0.3))
}

// ringPull adds the sun's height to the information and the gradient.
func (f *alleyFit) ringPull(u [alleyUnknowns]float64, info *mat.SymDense, grad *mat.VecDense) {
	want, n := f.a.scene.slopeLength(), math.Hypot(u[uSunX], u[uSunY])
	if want == 0 || f.looks.Len() == 0 || n == 0 {
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
	if f.looks.Len() == 0 {
		return u
	}
	lengths := []float64{f.a.scene.slopeLength()}
	if lengths[0] == 0 {
		lengths = []float64{0.2, 0.5, 1}
	}
	type way struct{ x, y, cost float64 }
	var ways []way
	m := f.model(u)
	for _, n := range lengths {
		for k := range sunWays {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / sunWays)
			m.face(n*sin, n*cos)
			ways = append(ways, way{n * sin, n * cos, f.fewLooks.SunwardCost(m.wideSun())})
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(a.cost, b.cost) })
	best := math.Inf(1)
	for _, w := range ways[:bestWays] {
		m.face(w.x, w.y)
		if c := f.looks.SunwardCost(m.wideSun()); c < best {
			best, u[uSunX], u[uSunY] = c, w.x, w.y
		}
	}
	return u
}
