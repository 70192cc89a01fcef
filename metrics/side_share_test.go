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
