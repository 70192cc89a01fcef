package metrics

import (
	"math"
	"testing"
)

// holed is a drum with a hole at the height at which a row behind could show.
func holed() *SidePlane {
	const x0, z0, r = 0.4, 2.2, 0.30
	p := drawnTree(1.5, 6.5, drum)
	for i := range p.Kind {
		if math.Hypot(p.XM(i%p.W)-x0, p.ZM(i/p.W)-z0) < r {
			p.Kind[i] = SideSky
		}
	}
	return p
}

// Where nothing is seen beside the tree no row stands behind, and its gaps are what they
// look; where leaves are seen there, some of its gaps are filled.
func TestGapsBehindWhichNoRowStands(t *testing.T) {
	alone, err := FindSideTree(holed())
	if err != nil {
		t.Fatal(err)
	}
	s := alone.Shares()
	if sum := s.Plant + s.Sky + s.Ground; math.Abs(sum-1) > 1e-9 || s.BehindSD != 0 {
		t.Errorf("plant, sky and ground add to %.6f, %.4f left open; want all that is seen, and nothing", sum, s.BehindSD)
	}
	p := holed()
	paint(p, -2.6, -1.9, 1.5, 2.8, SideFoliage) // across more than the disc from the crown
	before, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	b := before.Shares()
	if lost := s.Plant - b.Plant; lost <= 0 || lost > b.Sky*behindFill/(1-behindFill) || b.BehindSD <= 0 {
		t.Errorf("a row behind fills %.4f of the crown, %.4f left open; want some of its %.4f of sky", lost, b.BehindSD, b.Sky)
	}
}

// skirted is a crown from 1.0 to 4.2 m, wider in its lowest metre.
func skirted(z float64) float64 {
	switch {
	case z < 1.0 || z > 4.2:
		return 0
	case z < 2.0:
		return 1.2
	}
	return 0.7
}

// A strip of green along the ground, joined to a solid crown by a hanging shoot, joins the ground
// between them to the outline; the crown is as full as without it.
func TestGroundUnderTheCrownIsNoGap(t *testing.T) {
	alone := drawnTree(1.5, 6.5, skirted)
	joined := drawnTree(1.5, 6.5, skirted)
	paint(joined, -2.4, 2.8, 0.50, 0.56, SideFoliage)
	paint(joined, 0.6, 0.8, 0.5, 1.1, SideFoliage)
	full := func(p *SidePlane) float64 {
		tree, err := FindSideTree(p)
		if err != nil {
			t.Fatal(err)
		}
		return tree.Shares().Plant
	}
	if got, want := full(joined), full(alone); math.Abs(got-want) > 0.01 {
		t.Errorf("the crown is %.3f full, want %.3f", got, want)
	}
}
