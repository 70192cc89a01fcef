package vision

import (
	"math"
	"math/rand/v2"
	"testing"

	"rowlight/calibrate"
)

// drawnScene is a photo made in the test from the board's geometry alone: a
// sheet seen through a known homography, in linear light, with known blur.
type drawnScene struct {
	w, h         int
	toPhoto      calibrate.Mat3 // sheet metres to photo px
	number       int
	sigmaPx      float64 // gaussian blur, both ways
	motionPx     int     // box blur along x
	noise        float64 // SD of linear light
	paper, ink   float64 // linear light of the print
	ground       float64
	turnSunPatch bool // a bright half plane over part of the sheet
}

// standing is a scene with the sheet's corners put at four photo places.
func standing(t *testing.T, w, h int, corners [4]calibrate.Pixel) drawnScene {
	t.Helper()
	var from []calibrate.Pixel
	for _, c := range calibrate.SheetCorners() {
		from = append(from, calibrate.Pixel{X: c[0], Y: c[1]})
	}
	hom, err := calibrate.Homography(from, corners[:])
	if err != nil {
		t.Fatal(err)
	}
	return drawnScene{w: w, h: h, toPhoto: hom, paper: 0.6, ink: 0.03, ground: 0.15}
}

// inverse3 inverts a 3x3 matrix by its cofactors.
func inverse3(m calibrate.Mat3) calibrate.Mat3 {
	a, b, c := m.Col(0), m.Col(1), m.Col(2)
	bc, ca, ab := b.Cross(c), c.Cross(a), a.Cross(b)
	det := a.Dot(bc)
	return calibrate.FromCols(bc.Scale(1/det), ca.Scale(1/det), ab.Scale(1/det)).T()
}

// reflectance is the print's at a place of the sheet, metres.
func (d drawnScene) reflectance(p calibrate.Pixel, faces [4][MarkerModules][MarkerModules]bool) float64 {
	x, y := p.X*1000, p.Y*1000
	if x < 0 || y < 0 || x > calibrate.SheetWidthMM || y > calibrate.SheetHeightMM {
		return d.ground
	}
	for slot := range 4 {
		mx, my := calibrate.MarkerTopLeftMM(slot)
		u, v := (x-mx)/calibrate.MarkerSideMM*MarkerModules, (y-my)/calibrate.MarkerSideMM*MarkerModules
		if u >= 0 && v >= 0 && u < MarkerModules && v < MarkerModules {
			if faces[slot][int(v)][int(u)] {
				return d.ink
			}
		}
	}
	return d.paper
}

// draw renders the scene with 4x4 samples a pixel, blurs it in linear light and
// encodes it as sRGB.
func (d drawnScene) draw(t *testing.T) *Photo {
	t.Helper()
	var faces [4][MarkerModules][MarkerModules]bool
	for slot := range faces {
		face, err := MarkerPattern(4*d.number + slot)
		if err != nil {
			t.Fatal(err)
		}
		faces[slot] = face
	}
	const sub = 4
	back := inverse3(d.toPhoto)
	light := make([]float64, d.w*d.h)
	for y := range d.h {
		for x := range d.w {
			var sum float64
			for k := range sub * sub {
				px := float64(x) + (float64(k%sub)+0.5)/sub - 0.5
				py := float64(y) + (float64(k/sub)+0.5)/sub - 0.5
				v := d.reflectance(back.Apply(calibrate.Pixel{X: px, Y: py}), faces)
				if d.turnSunPatch && px+0.35*py < 0.62*float64(d.w) {
					v *= 6 // sun over shade: trade practice, 3 to 10
				}
				sum += v
			}
			light[y*d.w+x] = sum / (sub * sub)
		}
	}
	if d.motionPx > 1 {
		light = convolve(light, d.w, d.h, box(d.motionPx), true)
	}
	if d.sigmaPx > 0 {
		k := gaussian(d.sigmaPx)
		light = convolve(convolve(light, d.w, d.h, k, true), d.w, d.h, k, false)
	}
	return d.encode(light)
}

func (d drawnScene) encode(light []float64) *Photo {
	rng := rand.New(rand.NewPCG(7, 11))
	p := &Photo{W: d.w, H: d.h, FullW: d.w, FullH: d.h, Pix: make([]uint8, 3*d.w*d.h)}
	for i, v := range light {
		code := uint8(math.Round(LinearToSRGB(v + d.noise*rng.NormFloat64())))
		p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2] = code, code, code
	}
	return p
}

func box(n int) []float64 {
	k := make([]float64, n)
	for i := range k {
		k[i] = 1 / float64(n)
	}
	return k
}

func gaussian(sigma float64) []float64 {
	r := int(math.Ceil(4 * sigma))
	k := make([]float64, 2*r+1)
	var sum float64
	for i := range k {
		k[i] = math.Exp(-float64((i-r)*(i-r)) / (2 * sigma * sigma))
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	return k
}

// convolve blurs along x or y; edges repeat.
func convolve(v []float64, w, h int, k []float64, alongX bool) []float64 {
	out := make([]float64, len(v))
	for y := range h {
		for x := range w {
			var sum float64
			for i, f := range k {
				xx, yy := x, y
				if alongX {
					xx = min(max(x+i-len(k)/2, 0), w-1)
				} else {
					yy = min(max(y+i-len(k)/2, 0), h-1)
				}
				sum += f * v[yy*w+xx]
			}
			out[y*w+x] = sum
		}
	}
	return out
}

// trueCorners are the marker's corners by the scene's own geometry.
func (d drawnScene) trueCorners(id int) [4]calibrate.Pixel {
	corners, _ := calibrate.MarkerCorners(id)
	var out [4]calibrate.Pixel
	for k, c := range corners {
		out[k] = d.toPhoto.Apply(calibrate.Pixel{X: c[0], Y: c[1]})
	}
	return out
}
