package metrics

import (
	"math/rand"
	"testing"
)

// Counts in squares against the definition, on planes smaller than a square too.
func TestBoxCounts(t *testing.T) {
	rnd := rand.New(rand.NewSource(4))
	for range 60 {
		s := newCellSet(1+rnd.Intn(30), 1+rnd.Intn(20))
		for i := range s.in {
			s.in[i] = rnd.Intn(6) == 0
		}
		half := rnd.Intn(5)
		box := cellBox{rnd.Intn(s.w), rnd.Intn(s.h), s.w, s.h}
		box.x1 -= rnd.Intn(s.w - box.x0)
		box.y1 -= rnd.Intn(s.h - box.y0)
		mark := func(y, from int, row []uint8) {
			for i := range row {
				if row[i] = 0; s.in[y*s.w+from+i] {
					row[i] = 1
				}
			}
		}
		// A share by its two numbers: none of them is over 81.
		b := newBoxCounts(box, s.w, s.h, half, mark, func(marked, cells int) float32 { return float32(100*marked + cells) })
		for y := box.y0; y < box.y1; y++ {
			got, some := make([]float32, box.x1-box.x0), false
			next := b.next()
			b.values(got)
			for x := box.x0; x < box.x1; x++ {
				marked, cells := countSquare(s, x, y, half)
				if got[x-box.x0] != float32(100*marked+cells) {
					t.Fatalf("%dx%d, box %v, half %d: %g at %d, %d, want %d of %d", s.w, s.h, box, half, got[x-box.x0], x, y, marked, cells)
				}
				some = some || marked > 0
			}
			if next != some {
				t.Fatalf("%dx%d, box %v, half %d, row %d: any %v, want %v", s.w, s.h, box, half, y, next, some)
			}
		}
	}
}

func countSquare(s *cellSet, x, y, half int) (marked, cells int) {
	for j := max(0, y-half); j <= min(s.h-1, y+half); j++ {
		for i := max(0, x-half); i <= min(s.w-1, x+half); i++ {
			if cells++; s.in[j*s.w+i] {
				marked++
			}
		}
	}
	return marked, cells
}

// What is cut out of a plane with room about it grows, shrinks and fills as in the plane.
func TestCroppedIsAsGoodAsThePlane(t *testing.T) {
	rnd := rand.New(rand.NewSource(5))
	for range 60 {
		s := newCellSet(1+rnd.Intn(220), 1+rnd.Intn(60))
		x0, y0 := rnd.Intn(s.w), rnd.Intn(s.h)
		for range rnd.Intn(80) {
			x, y := x0+rnd.Intn(min(40, s.w-x0)), y0+rnd.Intn(min(30, s.h-y0))
			s.in[y*s.w+x] = true
		}
		all, r := s.bits(s.whole()), 4*rnd.Float64()
		if all.bounds().empty() {
			continue
		}
		part, px, py := all.cropped(all.bounds(), int(r)+2)
		want, got := all.dilated(r).eroded(r).filled().set(), newCellSet(s.w, s.h)
		part.dilated(r).eroded(r).filled().put(got, px, py)
		for i := range want.in {
			if got.in[i] != want.in[i] {
				t.Fatalf("%dx%d, bounds %v, radius %g, cell %d: %v", s.w, s.h, all.bounds(), r, i, got.in[i])
			}
		}
	}
}

// A crown's extent between two rows, against the definition.
func TestExtentLeavesTheTrimOut(t *testing.T) {
	tree, err := FindSideTree(drawnTree(1.5, 6.5, ellipsoid))
	if err != nil {
		t.Fatal(err)
	}
	p, rnd := tree.Plane, rand.New(rand.NewSource(6))
	for range 40 {
		lo := p.Row(0.9) + rnd.Intn(p.Row(4.5)-p.Row(0.9))
		hi, trim := lo+rnd.Intn(60), 0.01+0.1*rnd.Float64()
		left, right, ok := tree.extent(lo, hi, trim)
		if !ok {
			continue
		}
		var beyond, within, all float64
		for i := range p.W {
			for j := lo; j <= hi; j++ {
				if !tree.foliage.in[j*p.W+i] {
					continue
				}
				leaf := tree.leafAt(j*p.W + i)
				all += leaf
				if x := p.XM(i); x < left || x > right {
					beyond += leaf
				} else if x > left && x < right {
					within += leaf
				}
			}
		}
		if beyond > 2*trim*all || within > (1-2*trim)*all {
			t.Errorf("rows %d to %d, trim %.3f: %.4f beyond, %.4f within", lo, hi, trim, beyond/all, within/all)
		}
	}
}
