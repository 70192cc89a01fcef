package vision

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

// A reduced grey copy is the grey of the reduced codes, and its half the mean of four.
func TestReducedGreyIsTheGreyOfReducedCodes(t *testing.T) {
	p := &Photo{W: 67, H: 53, Pix: make([]uint8, 3*67*53)}
	rnd := rand.New(rand.NewPCG(7, 7))
	for i := range p.Pix {
		p.Pix[i] = uint8(rnd.UintN(256))
	}
	for factor := 1; factor <= 6; factor++ {
		g, m := reducedGrey(p, factor), ReducedCodes(p.W, p.Pix, image.Rect(0, 0, p.W, p.H), factor)
		for i, v := range g.codes {
			if want := greyOf(m.Pix[4*i:]); v != want {
				t.Fatalf("factor %d pixel %d: %d, want %d", factor, i, v, want)
			}
		}
		half := g.halved()
		for i, v := range half.codes {
			x, y := 2*(i%half.w), 2*(i/half.w)
			sum := 2
			for k := range 4 {
				sum += int(g.codes[(y+k/2)*g.w+x+k%2])
			}
			if int(v) != sum/4 {
				t.Fatalf("factor %d, half's pixel %d: %d, want %d", factor, i, v, sum/4)
			}
		}
	}
}

// noisyQuads is a grey picture of dark four-sided shapes, some cut off by its edge and some
// in one another, in noise that makes outlines of all forms.
func noisyQuads(w, h int, noise float64) *greyCopy {
	rnd := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	img := image.NewGray(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 170
	}
	for range 40 {
		x, y, side, turn := rnd.Float64()*float64(w), rnd.Float64()*float64(h), 5+rnd.Float64()*25, rnd.Float64()*math.Pi
		ink := uint8(40 + rnd.IntN(180))
		for j := range h {
			for i := range w {
				s, c := math.Sincos(turn)
				dx, dy := float64(i)-x, float64(j)-y
				if math.Max(math.Abs(c*dx+s*dy), math.Abs(c*dy-s*dx)) < side/2 {
					img.SetGray(i, j, color.Gray{Y: ink})
				}
			}
		}
	}
	for i, v := range img.Pix {
		img.Pix[i] = uint8(math.Max(0, math.Min(255, float64(v)+noise*rnd.NormFloat64())))
	}
	return &greyCopy{w: w, h: h, factor: 1, codes: img.Pix}
}

// opencvQuads are the four-sided shapes among OpenCV's outlines of what is dark.
func opencvQuads(t *testing.T, g *greyCopy, window int, minSide, rate float64) (out []quad) {
	t.Helper()
	grey, err := gocv.NewMatFromBytes(g.h, g.w, gocv.MatTypeCV8U, g.codes)
	if err != nil {
		t.Fatal(err)
	}
	defer grey.Close()
	dark := gocv.NewMat()
	defer dark.Close()
	gocv.AdaptiveThreshold(grey, &dark, 255, gocv.AdaptiveThresholdMean, gocv.ThresholdBinaryInv, window, 7)
	outlines := gocv.FindContours(dark, gocv.RetrievalList, gocv.ChainApproxNone)
	defer outlines.Close()
	for i := range outlines.Size() {
		o := outlines.At(i)
		if float64(o.Size()) < 4*(minSide-1) {
			continue
		}
		approx := gocv.ApproxPolyDP(o, float64(o.Size())*rate, true)
		pts := approx.ToPoints()
		approx.Close()
		if len(pts) != 4 {
			continue
		}
		var q quad
		for k, p := range pts {
			q[k] = calibrate.Pixel{X: float64(p.X), Y: float64(p.Y)}
		}
		least, most, turns := math.Inf(1), 0.0, 0
		for k := range q {
			a, b := q[(k+1)%4].Sub(q[k]), q[(k+2)%4].Sub(q[(k+1)%4])
			least, most = math.Min(least, math.Hypot(a.X, a.Y)), math.Max(most, math.Hypot(a.X, a.Y))
			if a.X*b.Y-a.Y*b.X > 0 {
				turns++
			}
		}
		if (turns == 0 || turns == 4) && least >= minSide-1 && most < 4*least {
			if turns == 0 {
				q[1], q[3] = q[3], q[1]
			}
			out = append(out, q)
		}
	}
	return out
}

// Shapes are those of OpenCV's outlines, in its order; corners are those of the lines
// through the outlines' points, which noise moves by a few pixels.
func TestQuadsAreThoseOfOpenCVsOutlines(t *testing.T) {
	all := 0
	for _, size := range [][2]int{{200, 150}, {97, 131}, {64, 64}, {9, 40}} {
		for _, noise := range []float64{0, 3, 8, 20} {
			g := noisyQuads(size[0], size[1], noise)
			got, err := g.quads(5, 6, 0.05)
			if err != nil {
				t.Fatal(err)
			}
			want := opencvQuads(t, g, 5, 6, 0.05)
			all += len(want)
			if len(got) != len(want) {
				t.Fatalf("%v, noise %g: %d shapes, want %d", size, noise, len(got), len(want))
			}
			for i := range want {
				for k := range want[i] {
					if d := got[i][k].Dist(want[i][k]); d > 5 {
						t.Errorf("%v, noise %g: corner %d of shape %d is %.1f px off", size, noise, k, i, d)
					}
				}
			}
		}
	}
	if all < 30 {
		t.Errorf("only %d shapes: the test tells little", all)
	}
}
