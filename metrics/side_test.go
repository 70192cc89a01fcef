package metrics

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// The height of a solid crown must come back within its own interval, which is
// there for the crown's unknown depth; a flat top much closer than as drawn.
func TestHeightOfSolidCrowns(t *testing.T) {
	for _, c := range []struct {
		name   string
		radius func(float64) float64
		topM   float64
		drawnM float64 // by the pinhole: nearest rim of the drum; 0 not asked
	}{
		{"ellipsoid", ellipsoid, 4.2, 0},
		{"drum", drum, 4.2, 1.5 + (4.2-1.5)*6.5/(6.5-1.2)}, // 4.81 m
	} {
		tree, err := FindSideTree(drawnTree(1.5, 6.5, c.radius))
		if err != nil {
			t.Fatal(c.name, err)
		}
		if drawn := tree.heightQuantile(1); c.drawnM > 0 && math.Abs(drawn-c.drawnM) > 0.05 {
			t.Errorf("%s: drawn top %.3f, the pinhole gives %.3f", c.name, drawn, c.drawnM)
		}
		h := tree.Height()
		if math.Abs(h.M-c.topM) > Z95*h.SDM {
			t.Errorf("%s: height %.3f, SD %.3f: %.2f lies outside", c.name, h.M, h.SDM, c.topM)
		}
		// Leaves are taken between the rim (all of the excess goes) and the middle
		// (none goes): at least half of it must go.
		if excess := tree.heightQuantile(1) - c.topM; c.drawnM > 0 && math.Abs(h.M-c.topM) > excess/2 {
			t.Errorf("%s: height %.3f of %.2f, drawn %.2f too high", c.name, h.M, c.topM, excess)
		}
		if h.AtLeast {
			t.Errorf("%s: called cut off, it is not", c.name)
		}
	}
}

// Silhouette of a round crown, trade sheet 4.3: r = 2.5 m shows 10.0, 5.27,
// 3.28 and 1.42 % too wide from 6, 8, 10 and 15 m.
func TestSilhouetteRadius(t *testing.T) {
	for d, excess := range map[float64]float64{6: 0.100, 8: 0.0527, 10: 0.0328, 15: 0.0142} {
		drawn := 2.5 * (1 + excess)
		if got := silhouetteRadius(drawn, d); math.Abs(got-2.5) > 2.5*0.0005+0.001 {
			t.Errorf("from %g m: %.4f, want 2.5", d, got)
		}
	}
}

// A shadow on the ground beside the tree looks like a trunk 1.6 m from its own; half-way
// to it lies 0.4 m within the crown, whose width must come back all the same.
func TestAShadowTakenForATrunkCutsNoCrown(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	paint(p, -1.25, -1.15, 0, 1.05, SideWood)
	if line := findTrunks(p); line.left != line.right || line.left < 1.5 || line.left > 1.7 || line.both {
		t.Fatalf("the shadow is not taken for a trunk, %+v: nothing is tested", line)
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	if w := tree.Width(); math.Abs(w.M-2.4) > 0.05*2.4 {
		t.Errorf("width %.3f m, want 2.4", w.M)
	}
}

// A drum's widths must come back at every height that stands clear.
func TestWidthsOfDrum(t *testing.T) {
	tree, err := FindSideTree(drawnTree(1.5, 6.5, drum))
	if err != nil {
		t.Fatal(err)
	}
	if w := tree.Width(); math.Abs(w.M-2.4) > 0.05*2.4 {
		t.Errorf("width %.3f, want 2.4", w.M)
	}
	seen := 0
	for _, w := range tree.Profile() {
		if w.AtM < 1.5 || w.AtM > 4.0 {
			continue // the near rim hangs into the rest
		}
		seen++
		if math.Abs(w.M-2.4) > Z95*w.SDM || w.M < 2.1 || w.M > 2.6 {
			t.Errorf("width at %.1f m: %.3f (SD %.3f), want 2.4", w.AtM, w.M, w.SDM)
		}
	}
	if seen != 6 {
		t.Errorf("%d widths between 1.5 and 4 m, want 6", seen)
	}
	if r, _, ok := tree.TopToBottom(); !ok || math.Abs(r-1) > 0.1 {
		t.Errorf("top to bottom %.3f, want 1", r)
	}
}

// A round hole of 60 cm must come back as the largest gap and as its share.
func TestGapAndShares(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	const x0, z0, r = 0.4, 3.6, 0.30
	hole := 0
	for i := range p.Kind {
		if math.Hypot(p.XM(i%p.W)-x0, p.ZM(i/p.W)-z0) < r {
			p.Kind[i] = SideSky
			hole++
		}
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	g := tree.Gaps(3)
	if len(g) == 0 || math.Abs(g[0].DiameterM-2*r) > 0.03 {
		t.Fatalf("gaps %v, want one of %.2f m", g, 2*r)
	}
	if math.Hypot(g[0].At.XM-x0, g[0].At.ZM-z0) > 0.03 {
		t.Errorf("gap at %v, want (%.2f, %.2f)", g[0].At, x0, z0)
	}
	s := tree.Shares()
	// The outline's rounded corners are closed over by up to a few cells of sky.
	want := float64(hole) * p.CellM * p.CellM / s.AreaM2
	if s.Sky < want-0.001 || s.Sky > want+0.02 {
		t.Errorf("sky share %.4f, want %.4f and a little", s.Sky, want)
	}
	if sum := s.Plant + s.Sky + s.Ground; sum > 1.0001 {
		t.Errorf("shares add to %.4f", sum)
	}
}

// Gaps against the definition: of all circles that are clear of those before, the largest,
// and of those as large the first in the plane's order.
func TestGapsAreTheLargestClearOfOthers(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	rnd := rand.New(rand.NewSource(7))
	for range 40 {
		x0, z0, r := 0.4+1.6*(rnd.Float64()-0.5), 2+2*rnd.Float64(), 0.02+0.15*rnd.Float64()
		for i := range p.Kind {
			if math.Hypot(p.XM(i%p.W)-x0, p.ZM(i/p.W)-z0) < r {
				p.Kind[i] = SideSky
			}
		}
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	solid := newCellSet(p.W, p.H)
	for i, k := range p.Kind {
		solid.in[i] = !tree.outline.in[i] || k != SideSky && k != SideGround
	}
	all := solid.away()
	few := tree.Gaps(3)
	got := tree.Gaps(12)
	if len(got) != 12 || !slices.Equal(few, got[:3]) {
		t.Fatalf("%d gaps, the first %v and then %v", len(got), few, got)
	}
	for k, g := range got {
		var want SideGap
		for _, c := range all {
			if d := 2 * math.Sqrt(float64(c.toSolid2)) * p.CellM; d > want.DiameterM &&
				!slices.ContainsFunc(got[:k], func(o SideGap) bool { return !o.clearOf(c.at(p), d/2) }) {
				want = SideGap{c.at(p), d}
			}
		}
		if g != want {
			t.Errorf("gap %d: %v, want %v", k, g, want)
		}
	}
}

func TestCutTopIsABound(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	for i := range p.Kind {
		if p.ZM(i/p.W) > 3.5 {
			p.Kind[i] = SideUnseen
		}
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	if h := tree.Height(); !h.AtLeast || !tree.CutTop || h.M > 3.6 {
		t.Errorf("height %.2f, at least %v: the frame cuts it at 3.5", h.M, h.AtLeast)
	}
}

// A neighbour whose crown touches must be cut off half-way between the trunks.
func TestNeighbourIsCutOff(t *testing.T) {
	p := drawnTree(1.5, 6.5, drum)
	const neighbour = 0.4 - 2.4
	paint(p, neighbour-0.1, neighbour+0.1, 0, 1.5, SideWood)
	for z := 1.0; z < 4.2; z += 0.005 {
		drawCircle(p, neighbour, z, 1.2)
	}
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	if w := tree.Width(); math.Abs(w.M-2.4) > 0.10*2.4 {
		t.Errorf("width %.2f beside a touching neighbour, want 2.4", w.M)
	}
	if !tree.Trunk || math.Abs(tree.TrunkM-0.4) > 0.02 {
		t.Errorf("trunk at %.2f (seen %v), want 0.4", tree.TrunkM, tree.Trunk)
	}
}

// Shadows on the ground, green or not, are no foliage.
func TestShadowOnGroundIsDropped(t *testing.T) {
	p := drawnTree(1.5, 6.5, ellipsoid)
	paint(p, -1.5, -0.3, 0.3, 0.4, SideFoliage)
	tree, err := FindSideTree(p)
	if err != nil {
		t.Fatal(err)
	}
	if b := tree.Base(); b.M < 0.8 {
		t.Errorf("base %.2f: the shadow at 0.3 m was taken for leaves", b.M)
	}
}

func TestNoFoliageIsUnusable(t *testing.T) {
	_, err := FindSideTree(drawnTree(1.5, 6.5, func(float64) float64 { return 0 }))
	if u, ok := AsUnusable(err); !ok || u.Reason == "" || u.Mend == "" {
		t.Errorf("a bare plane gave %v", err)
	}
}

// distances2 are the squared distances of all cells from a set.
func distances2(s *cellSet) []float64 {
	d := make([]float64, len(s.in))
	for _, c := range s.away() {
		d[int(c.j)*s.w+int(c.i)] = float64(c.toSolid2)
	}
	return d
}

// Distances against the definition, on random sets.
func TestDistances2(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 20 {
		s := newCellSet(3+rnd.Intn(20), 3+rnd.Intn(20))
		for range 1 + rnd.Intn(6) {
			s.in[rnd.Intn(len(s.in))] = true
		}
		got := distances2(s)
		for i := range s.in {
			want := math.Inf(1)
			for k, in := range s.in {
				if dx, dy := float64(i%s.w-k%s.w), float64(i/s.w-k/s.w); in {
					want = math.Min(want, dx*dx+dy*dy)
				}
			}
			if math.Abs(got[i]-want) > 1e-9 {
				t.Fatalf("%dx%d cell %d: %g, want %g", s.w, s.h, i, got[i], want)
			}
		}
	}
}

// Discs against the distances, which are held against the definition above: on sets that
// touch the plane's edges, and on radii between whole cells and on them.
func TestDilatedAndErodedAreDiscs(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	for range 30 {
		s := newCellSet(2+rnd.Intn(100), 2+rnd.Intn(25))
		for i := range s.in {
			s.in[i] = rnd.Intn(9) == 0
		}
		to, from := distances2(s), distances2(s.bits(s.whole()).complement().set())
		for _, r := range []float64{0, 0.5, 1, 2, 2.5, 5, 13} {
			grown, shrunk := s.dilated(r), s.eroded(r)
			for i := range s.in {
				if want := to[i] <= r*r; grown.in[i] != want {
					t.Fatalf("%dx%d grown by %g, cell %d: %v", s.w, s.h, r, i, grown.in[i])
				}
				if want := from[i] > r*r; shrunk.in[i] != want {
					t.Fatalf("%dx%d shrunk by %g, cell %d: %v", s.w, s.h, r, i, shrunk.in[i])
				}
			}
		}
	}
}

// Parts are what a walk from neighbour to neighbour reaches, numbered by first cells.
func TestLabelsAreParts(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	for range 40 {
		s := newCellSet(1+rnd.Intn(150), 1+rnd.Intn(15))
		for i := range s.in {
			s.in[i] = rnd.Intn(5) < 3
		}
		want, sizes := make([]int32, len(s.in)), []int{0}
		var walk func(x, y int, id int32)
		walk = func(x, y int, id int32) {
			if x < 0 || y < 0 || x >= s.w || y >= s.h || !s.in[y*s.w+x] || want[y*s.w+x] != 0 {
				return
			}
			want[y*s.w+x] = id
			sizes[id]++
			walk(x-1, y, id)
			walk(x+1, y, id)
			walk(x, y-1, id)
			walk(x, y+1, id)
		}
		for i := range s.in {
			if s.in[i] && want[i] == 0 {
				sizes = append(sizes, 0)
				walk(i%s.w, i/s.w, int32(len(sizes)-1))
			}
		}
		runs, got := s.bits(s.whole()).parts()
		label := make([]int32, len(s.in))
		for _, r := range runs {
			for x := r.from; x < r.to; x++ {
				label[int(r.y)*s.w+int(x)] = r.part
			}
		}
		if !slices.Equal(label, want) || !slices.Equal(got, sizes) {
			t.Fatalf("%dx%d: %v, %v; want %v, %v", s.w, s.h, label, got, want, sizes)
		}
	}
}

func TestFilled(t *testing.T) {
	s := newCellSet(7, 7)
	for k := 1; k <= 5; k++ { // a ring
		for _, i := range []int{7 + k, 5*7 + k, 7*k + 1, 7*k + 5} {
			s.in[i] = true
		}
	}
	if got := s.filled().count(); got != 25 {
		t.Errorf("a filled ring of 5 x 5 holds %d cells, want 25", got)
	}
}
