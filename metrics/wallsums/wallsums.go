// Package wallsums sums what many lines of sight say of two rows of crowns, and by how much
// more they would say it for other crowns: the fit of an alley in package metrics, in wide
// loops over eight sights at once. What each field means, and the sums' definition, stand
// there; lengths are metres, and light and logarithms without unit.
package wallsums

// #cgo CXXFLAGS: -O3
// #include "wallsums.h"
import "C"

import (
	"fmt"
	"math"
	"sort"
	"unsafe"
)

const (
	// Unknowns are, in this order: ln of the crowns' half depth, half length, base, top,
	// density and the exponents of their sides below and above the middle; the rows'
	// heading; the left and the right row's line; the way to the sun, to the right and ahead.
	Unknowns = C.rl_alley_unknowns
	// SightUnknowns of them, the first, move sights at the left row, and alike at the right.
	SightUnknowns = 9
	// CrossSteps and SunSteps are how many steps a sight across a row and a look toward the
	// sun are summed over, SideCells how finely the side of a crown is laid down.
	CrossSteps, SunSteps, SideCells = C.rl_cross_steps, C.rl_sun_steps, C.rl_side_cells
	// Farthest: so many times as far from a crown's middle as its surface, squared, leaves are
	// 1e-16 of those inside.
	Farthest = 100

	block = C.rl_sight_block
)

// SideCell is |h|^n at a cell's lower end and its rise over the cell, and the same of its
// slope by ln n.
type SideCell struct{ At, Rise, Form, FormRise float32 }

// Crown is the crown that all trees share, seen by a camera at CameraM over the ground.
type Crown struct {
	Yaw, CameraM float32
	// Sights that go less far to the side count as fog.
	LeastRight float32
	// CellAt is the cell of the crown's side at the camera's height, of which there are
	// CellsPerHalf to half its height.
	CellAt, CellsPerHalf float32
	// PerTree is the inverse of the trees' spacing, TreeLengths the spacing in half lengths of
	// a crown; PerLength the inverse of the half length, PerHalf of half the height.
	PerTree, TreeLengths, PerLength, PerHalf float32
	PerM                                     float32
	BaseByBase, TopByBase, TopByTop          float32
	// Fog is the share of sights that are not as the model has them, to either side.
	Fog  float32
	Side [SideCells]SideCell
}

// Crossing is a row of crowns and the steps that sights across it are summed over. Side is
// -1 for the left row and 1 for the right.
type Crossing struct {
	Side, LineM, FirstTrees, StepM, LineMoves float32
	OutM, OutSteps, Plan                      [CrossSteps]float32
	Share, LineShare, DepthShare              [CrossSteps]float32
}

// TreePlaces is how many places a tree is tried at.
const TreePlaces = C.rl_tree_places

// Tree is one tree of a row, by its number along it, that may stand off the row's line. First
// is the number of the first tree whose offset is told, Plan the squares of how far each
// step lies across from each of the tree's places, half depths.
type Tree struct {
	Number, First, count int32
	PerDepth             float32
	Plan                 [CrossSteps][TreePlaces]float32
}

// SunRow is a row of crowns as the sun sees it.
type SunRow struct{ Side, LineM, FirstM, LineMoves float32 }

// SunLayer is one of the heights that the sun's way is summed over.
type SunLayer struct {
	Across, Trees, Side, SideByBase, SideByTop, Form, Steps float32
	High                                                    int32 // 1 over the crown's middle
}

// Sun is both rows before the sun.
type Sun struct {
	Yaw, PerDepth, PerTree, TreeLengths, PerLength, PerM, Fog float32
	// Leaves count as far as Reach half depths from a crown's middle, fading out over the
	// last 1 / PerEdge.
	Reach, PerEdge float32
	// Left and Right are the ends of the layers' ways, half depths.
	Left, Right                                                     float32
	LengthM, X, Y, LowM, StepM                                      float32
	LowBase, LowTop, StepBase, StepTop, PerBase, PerTop, PerX, PerY float32
	Rows                                                            [2]SunRow
	Layers                                                          [SunSteps]SunLayer
}

// Sums are what sights and looks say together.
type Sums struct {
	// Info is their Fisher information (upper half), Grad the gradient of Cost.
	Info [Unknowns][Unknowns]float64
	Grad [Unknowns]float64
	seen chance
}

// chance is part x 2^twos.
type chance struct {
	part float64
	twos int64
}

// cost is minus a chance's logarithm.
func (c chance) cost() float64 { return -math.Log(c.part) - float64(c.twos)*math.Ln2 }

// The kernels read these as their own.
var (
	_ [unsafe.Sizeof(Crown{})]byte              = [C.sizeof_rl_crown]byte{}
	_ [unsafe.Sizeof(Crossing{})]byte           = [C.sizeof_rl_crossing]byte{}
	_ [unsafe.Sizeof(Sun{})]byte                = [C.sizeof_rl_sun]byte{}
	_ [unsafe.Sizeof(Tree{})]byte               = [C.sizeof_rl_tree]byte{}
	_ [unsafe.Sizeof([TreePlaces]chance{})]byte = [TreePlaces * C.sizeof_rl_chance]byte{}
	_ [unsafe.Sizeof(Sums{})]byte               = [C.sizeof_rl_sums]byte{}
)

// NewSums are the sums of nothing.
func NewSums() *Sums { return &Sums{seen: chance{part: 1}} }

// Cost is minus the logarithm of the chance of all that was seen.
func (s *Sums) Cost() float64 { return s.seen.cost() }

func (s *Sums) c() *C.rl_sums { return (*C.rl_sums)(unsafe.Pointer(s)) }

// Sights are lines of sight in order of how far to the right they go, or looks at the floor:
// two numbers each, and whether something is in the way.
type Sights struct {
	a, b    []float32
	blocked []int32
	n       int
}

// NewSights makes room for n.
func NewSights(n int) *Sights {
	padded := (n + block - 1) / block * block
	return &Sights{make([]float32, padded), make([]float32, padded), make([]int32, padded), n}
}

// Set puts one in: a sight's way to the right and up for each metre ahead, in order of the
// former; or a look's place, metres to the right and ahead.
func (s *Sights) Set(i int, right, upOrAhead float64, blocked bool) {
	s.a[i], s.b[i], s.blocked[i] = float32(right), float32(upOrAhead), 0
	if blocked {
		s.blocked[i] = -1
	}
}

// Len is how many they are.
func (s *Sights) Len() int { return s.n }

// Before is how many go less far to the right.
func (s *Sights) Before(right float64) int {
	return sort.Search(s.n, func(i int) bool { return s.a[i] >= float32(right) })
}

// Across adds to sums what the sights from lo up to hi, which look at one row, say.
func (s *Sights) Across(lo, hi int, c *Crown, row *Crossing, sums *Sums) {
	if lo < hi {
		C.rl_sight_sums((*C.rl_crown)(unsafe.Pointer(c)), (*C.rl_crossing)(unsafe.Pointer(row)), floats(s.a), floats(s.b), ints(s.blocked), C.int(lo), C.int(hi), sums.c())
	}
}

// PastTree is what the sights from lo up to hi cost for each place of a tree, where its
// neighbours stand offM off the row's line.
func (s *Sights) PastTree(lo, hi int, c *Crown, row *Crossing, tree Tree, offM []float32) (costs [TreePlaces]float64) {
	var seen [TreePlaces]chance
	for i := range seen {
		seen[i].part = 1
	}
	tree.count = int32(len(offM))
	if lo < hi && len(offM) > 0 {
		C.rl_tree_chances((*C.rl_crown)(unsafe.Pointer(c)), (*C.rl_crossing)(unsafe.Pointer(row)), (*C.rl_tree)(unsafe.Pointer(&tree)), floats(offM), floats(s.a), floats(s.b), ints(s.blocked), C.int(lo), C.int(hi), (*C.rl_chance)(unsafe.Pointer(&seen[0])))
	}
	for i := range seen {
		costs[i] = seen[i].cost()
	}
	return costs
}

// Sunward adds to sums what looks toward the sun say.
func (s *Sights) Sunward(sun *Sun, sums *Sums) {
	if s.n > 0 {
		C.rl_look_sums((*C.rl_sun)(unsafe.Pointer(sun)), floats(s.a), floats(s.b), ints(s.blocked), C.int(s.n), sums.c())
	}
}

// SunwardCost is the cost alone of what looks toward the sun say.
func (s *Sights) SunwardCost(sun *Sun) float64 {
	sums := NewSums()
	if s.n > 0 {
		C.rl_look_chance((*C.rl_sun)(unsafe.Pointer(sun)), floats(s.a), floats(s.b), ints(s.blocked), C.int(s.n), sums.c())
	}
	return sums.Cost()
}

// LeafSums adds up, for each square, the density of leaves at square + rest from crowns'
// middles, 1 on their surface (distances are squared), over all of rest, whose length is a
// multiple of 8; leaves past Farthest are none.
func LeafSums(square, rest []float32, sum []float64) {
	if len(rest)%8 != 0 || len(sum) < len(square) {
		panic(fmt.Sprintf("wallsums: sums of %d and %d, %d places for them", len(square), len(rest), len(sum)))
	}
	if len(square) > 0 && len(rest) > 0 {
		C.rl_leaf_sums(floats(square), C.int(len(square)), floats(rest), C.int(len(rest)), (*C.double)(unsafe.Pointer(&sum[0])))
	}
}

func floats(p []float32) *C.float { return (*C.float)(unsafe.Pointer(&p[0])) }

func ints(p []int32) *C.int32_t { return (*C.int32_t)(unsafe.Pointer(&p[0])) }
