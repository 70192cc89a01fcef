package scene

import "math"

// Shot is one photo to be taken of a stand.
type Shot struct {
	Camera Camera
	Boards []Board
	Sky    Sky
	// Diffuse is the sky's share of the light on level open ground; 0 leaves it
	// to Sky. No use under an overcast.
	Diffuse float64
	Sun     Sun
	Seed    uint64
	// SamplesAcross is how many samples a pixel has in each direction; 2 by
	// default, that is 4 a pixel; 4 at most.
	SamplesAcross int
	// Workers draw bands of the picture side by side; 1 by default. The picture
	// is the same for any number.
	Workers int
}

// View is a stand made ready for one photo: the leaves in front of the lens
// pushed aside, the boards put up, the sun's shade cast.
type View struct {
	Shot
	// Sunlit is the sun on the ground round the photo's subject.
	Sunlit *SunMap
	stand  *Stand
	tiles  *tiles
	skip   []bool // faces of the stand that were pushed aside
	props  mesh   // boards and their stakes
	sunUp  *depthMap
	toSun  Vec3
	light  lights
	sky    air
}

// lights are the strengths that hold for a whole photo.
type lights struct {
	sunNormal RGB // on a plane that faces the sun
	sky       RGB // radiance of an even sky as bright as this one
	canopy    RGB // radiance of the insides of crowns
	ground    RGB // radiance of the ground, seen from leaves
}

const (
	// The scout pushes aside what hangs nearer to the lens than this, and what
	// covers the board or comes within the margin of doing so.
	lensClearM, boardClearM = 0.70, 0.06
	// canopyGlow is the light crowns scatter to what is under them, a share of
	// sun and sky (0.02-0.04; trade practice table of sun to shade contrast).
	canopyGlow = 0.035
	// groundSeen is the ground's mean reflectance times the share of it in sun.
	groundSeen = 0.15 * 0.4
	// Cells of the sun's maps: fine for a floor photo (a fifth of the least
	// penumbra at 2.5 m), coarse where the ground is far from the lens.
	floorCellM, farCellM   = 0.005, 0.025
	floorHalfM, farHalfM   = 3.4, 13.0
	farDisc                = 16 // directions to the disc are enough from afar
	leafCellM, farLeafCell = 0.020, 0.014
)

// Floors holds the painted ground; make it once and share it.
type Floors struct{ t *tiles }

// NewFloors paints the ground's coverings.
func NewFloors(seed uint64) *Floors { return &Floors{newTiles(seed)} }

// NewView makes a stand ready for a shot.
func NewView(s *Stand, floors *Floors, shot Shot) *View {
	shot.SamplesAcross, shot.Workers = min(shot.SamplesAcross, maxAcross), max(1, shot.Workers)
	if shot.SamplesAcross < 1 {
		shot.SamplesAcross = 2
	}
	v := &View{Shot: shot, stand: s, tiles: floors.t, toSun: shot.Sun.Direction()}
	v.pushAside()
	for i, b := range shot.Boards {
		v.putUp(i, b)
	}
	v.setLights()
	grid, leafCell := v.subject()
	v.Sunlit = newSunMap(&s.mesh, v.skip, &s.Ground, shot.Sun, grid)
	v.Sunlit.cast(&v.props, v.flat(), shot.Sun)
	v.sunUp = newDepthMap(&s.mesh, v.skip, v.toSun, leafCell, s.low, s.high)
	return v
}

// subject returns where the ground's shade is wanted and how finely.
func (v *View) subject() (g sunGrid, leafCell float64) {
	middle := v.Camera.Eye
	if len(v.Boards) > 0 {
		middle = v.Boards[0].Centre()
	}
	if v.Camera.Ahead.Z < -0.6 { // looking down
		return sunGrid{middle, floorHalfM, floorCellM, discSamples}, leafCellM
	}
	return sunGrid{middle, farHalfM, farCellM, farDisc}, farLeafCell
}

func (v *View) setLights() {
	v.sky = v.air()
	all := v.sky.direct + v.sky.diffuse
	v.light.sunNormal = sunTint(v.Sun).scale(v.sky.sunNormal(v.Sun))
	v.light.sky = v.sky.tint.scale(v.sky.diffuse / math.Pi)
	v.light.canopy = RGB{0.80, 1.12, 0.50}.scale(canopyGlow * all / math.Pi)
	v.light.ground = RGB{1.15, 1.0, 0.7}.scale(groundSeen * all / math.Pi)
}

// pushAside marks the leaves and twigs that hang before the lens or the board.
func (v *View) pushAside() {
	v.skip = make([]bool, len(v.stand.faces))
	for i := range v.stand.faces {
		f := &v.stand.faces[i]
		if f.group < 0 {
			continue // trunk and limbs stay
		}
		for _, c := range v.stand.corners(f) {
			if c.Sub(v.Camera.Eye).Norm() < lensClearM || v.hidesBoard(c) {
				v.skip[i] = true
				break
			}
		}
	}
}

// hidesBoard says whether a point lies between the lens and a board, or in the
// margin round that.
func (v *View) hidesBoard(p Vec3) bool {
	for _, b := range v.Boards {
		n := b.Right.Cross(b.Down)
		d := p.Sub(v.Camera.Eye)
		nd := n.Dot(d)
		if nd == 0 {
			continue
		}
		t := n.Dot(b.TopLeft.Sub(v.Camera.Eye)) / nd
		if t < 1 {
			continue // behind the board, or away from it
		}
		q := v.Camera.Eye.Add(d.Scale(t)).Sub(b.TopLeft)
		x, y := q.Dot(b.Right), q.Dot(b.Down)
		w, h := b.size()
		if x > -boardClearM && y > -boardClearM && x < w/1000+boardClearM && y < h/1000+boardClearM {
			return true
		}
	}
	return false
}

// flat marks the boards that lie on the ground: they shade nothing but what is
// under them.
func (v *View) flat() []bool {
	skip := make([]bool, len(v.props.faces))
	for i := range v.props.faces {
		f := &v.props.faces[i]
		skip[i] = f.kind == boardFace && !v.Boards[f.group].Upright()
	}
	return skip
}

// putUp adds a board and, where it stands, its stake.
func (v *View) putUp(index int, b Board) {
	c := b.sheet()
	v.props.add(face{kind: boardFace, tree: -1, group: int32(index), shade: 1}, c[0], c[3], c[2], c[1])
	if !b.Upright() {
		return
	}
	const behindM, stakeRadiusM = 0.02, 0.012
	back := b.Right.Cross(b.Down).Scale(behindM)
	top := b.At(sheetWMM/2, 20).Add(back)
	foot := v.stand.On(top)
	v.props.addTube(face{kind: stakeFace, tree: -1, group: -1, shade: 1}, foot, top, stakeRadiusM, stakeRadiusM, 4)
}
