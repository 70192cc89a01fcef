package main

import (
	"math"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// Where the scout stands: the guide for photographers, with a hand's unsteadiness.
const (
	eyeM            = 1.5 // phone above the ground
	boardFromTrunkM = 1.10
	floorStandOffM  = 0.65 // scout's feet beyond the board
	besideTrunkM    = 0.48 // board's middle from the trunk, side shot
	alleyStandOffM  = 5.5
	unsteadyDeg     = 1.2
)

// pose is a camera and the boards in its picture.
type pose struct {
	camera scene.Camera
	boards []scene.Board
}

// floorPose looks down at the board on the side of the trunk away from the noon
// sun. A tree's spot is the same at every visit: the scout marks it.
func (b *block) floorPose(id orchard.TreeID, rnd *scene.Rand, w, h int) pose {
	const awayFromNoonDeg, spreadDeg = 180, 20 // south of the equator
	spot := scene.NewRand(uint64(id.Row), uint64(id.Tree), uint64(b.key[1]))
	azimuth := awayFromNoonDeg + spot.Between(-spreadDeg, spreadDeg)
	out := scene.Heading(azimuth)
	centre := b.trunk(id).Add(out.Scale(boardFromTrunkM))
	side := scene.Heading(azimuth + 90)
	eye := centre.Add(out.Scale(floorStandOffM)).Add(side.Scale(rnd.Between(-0.2, 0.2)))
	eye.Z = eyeM + rnd.Between(-0.05, 0.05)
	look := centre.Sub(out.Scale(0.02)).Add(side.Scale(rnd.Between(-0.1, 0.1)))
	camera := scene.Aim(eye, look, rnd.Between(-3, 3), w, h)
	return pose{camera, []scene.Board{scene.FlatBoard(boardNumber, centre, azimuth+180+rnd.Between(-15, 15))}}
}

// sidePose looks square at the row from outside the block, the tree in full.
func (b *block) sidePose(id orchard.TreeID, tree *scene.Tree, rnd *scene.Rand, w, h int) pose {
	away := b.toAlley(id).Scale(-1)
	along := scene.Heading(b.directionDeg)
	trunk := b.trunk(id)
	foot := trunk.Add(along.Scale(besideTrunkM))
	heightM := tree.HeightM()
	distance := math.Max(6.5, 1.25*heightM)
	if w < h {
		distance = math.Max(7.5, 1.1*heightM) // upright pictures reach higher, and less to the sides
	}
	toFace := distance - tree.Spec.AcrossM/2 // the top's near side looks higher than its middle
	eye := trunk.Add(away.Scale(distance)).Add(along.Scale(rnd.Between(-0.3, 0.3)))
	eye.Z = eyeM + rnd.Between(0, 0.1)
	// Aim half way, by angle, between the ground at the trunk and over the top.
	low, high := math.Atan(-eye.Z/distance), math.Atan((heightM+0.4-eye.Z)/toFace)
	look := trunk.Add(scene.Vec3{Z: eye.Z + distance*math.Tan((low+high)/2)})
	face := b.directionDeg - 90
	if id.Row == 2 {
		face = b.directionDeg + 90
	}
	camera := scene.Aim(eye, look, rnd.Between(-unsteadyDeg, unsteadyDeg), w, h)
	return pose{camera, []scene.Board{scene.UprightBoard(boardNumber, foot, face)}}
}

// alleyPose looks along the alley, the sun behind, at the board beside the tree.
func (b *block) alleyPose(id orchard.TreeID, rnd *scene.Rand, w, h int) pose {
	toward := b.directionDeg // rows run about north: the sun stands over the far end
	back := scene.Heading(toward)
	middle := b.alley(id)
	across := scene.Heading(toward + 90)
	eye := middle.Add(back.Scale(alleyStandOffM + rnd.Between(-0.3, 0.3))).Add(across.Scale(rnd.Between(-0.1, 0.1)))
	eye.Z = eyeM + rnd.Between(0, 0.1)
	look := middle.Add(scene.Vec3{Z: rnd.Between(1.1, 1.4)}).Add(across.Scale(rnd.Between(-0.1, 0.1)))
	camera := scene.Aim(eye, look, rnd.Between(-unsteadyDeg, unsteadyDeg), w, h)
	return pose{camera, []scene.Board{scene.UprightBoard(boardNumber, middle, toward)}}
}
