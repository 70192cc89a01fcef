// Package overlay draws what was measured onto a copy of the photo.
//
// All coordinates are pixels of the full oriented photo; the canvas scales.
package overlay

import (
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"rowlight/calibrate"
	"rowlight/vision"
)

// The ink of the overlays: told apart by colour-blind eyes too (hues of Okabe
// and Ito 2008, "Color Universal Design", quoted from memory).
var (
	Orange  = color.NRGBA{230, 159, 0, 255}
	SkyBlue = color.NRGBA{86, 180, 233, 255}
	Green   = color.NRGBA{0, 158, 115, 255}
	Yellow  = color.NRGBA{240, 228, 66, 255}
	Blue    = color.NRGBA{0, 114, 178, 255}
	Red     = color.NRGBA{213, 94, 0, 255}
	Purple  = color.NRGBA{204, 121, 167, 255}
	White   = color.NRGBA{255, 255, 255, 255}
	Black   = color.NRGBA{0, 0, 0, 255}
)

// LongPx is about the longer side of an overlay, the nearest that a whole number of
// the photo's pixels gives: enough for a phone and for a print of a hand's width;
// larger only costs disk.
const LongPx = 1280

// jpegQuality of the overlays: below 80 thin lines fray.
const jpegQuality = 82

// Canvas is a reduced copy of a photo to draw on.
type Canvas struct {
	Img   *image.NRGBA
	scale float64
	from  image.Point // of the photo, where the canvas begins
}

// New copies an 8-bit RGB picture (row by row) onto a canvas about LongPx long, a
// whole number of the picture's pixels to each of its own.
func New(w, h int, rgb []uint8) *Canvas {
	factor := max(1, min(int(math.Round(float64(max(w, h))/LongPx)), w, h))
	img := vision.ReducedCodes(w, rgb, image.Rect(0, 0, w, h), factor)
	return &Canvas{img, 1 / float64(factor), image.Point{}}
}

// NewPart is New for a part of the picture, at most longPx long; all of it where the
// part lies outside. What is drawn is still told in pixels of the whole photo. A
// shorter canvas has larger words and lines on a print of one size.
func NewPart(w, h int, rgb []uint8, part image.Rectangle, longPx int) *Canvas {
	whole := image.Rect(0, 0, w, h)
	if part = part.Intersect(whole); part.Empty() {
		part = whole
	}
	pw, ph := part.Dx(), part.Dy()
	long := float64(max(pw, ph))
	s := math.Min(1, float64(longPx)/long)
	img := vision.ReducedCodes(w, rgb, part, int(math.Min(1/s, float64(min(pw, ph)))))
	if cw, ch := int(math.Round(float64(pw)*s)), int(math.Round(float64(ph)*s)); img.Rect.Dx() != cw || img.Rect.Dy() != ch {
		img = imaging.Resize(img, cw, ch, imaging.Box)
	}
	return &Canvas{img, float64(img.Rect.Dx()) / float64(pw), part.Min}
}

func (c *Canvas) at(p calibrate.Pixel) (x, y float64) {
	return (p.X-float64(c.from.X)+0.5)*c.scale - 0.5, (p.Y-float64(c.from.Y)+0.5)*c.scale - 0.5
}

// over lays ink on a pixel's first three bytes, alpha of it (0..1).
func over(px []uint8, ink color.NRGBA, alpha float64) {
	px = px[:3]
	px[0] = uint8(float64(px[0])*(1-alpha) + float64(ink.R)*alpha + 0.5)
	px[1] = uint8(float64(px[1])*(1-alpha) + float64(ink.G)*alpha + 0.5)
	px[2] = uint8(float64(px[2])*(1-alpha) + float64(ink.B)*alpha + 0.5)
}

// A line is edged with black, rimInk of full ink, that reaches rimPx past its own.
const rimPx, rimInk = 1.0, 150.0 / 255

// Line draws a line widthPx canvas pixels wide, with a dark rim so that it
// shows on leaves and on sky.
func (c *Canvas) Line(from, to calibrate.Pixel, ink color.NRGBA, widthPx float64) {
	x0, y0 := c.at(from)
	x1, y1 := c.at(to)
	if !(math.Abs(x0)+math.Abs(y0)+math.Abs(x1)+math.Abs(y1) < 1e5) {
		return // off the picture by far, or not a number
	}
	s := stroke{x1 - x0, y1 - y0, ink, widthPx / 2}
	reach := s.half + rimPx + 0.5
	for y := int(max(0, min(y0, y1)-reach)); y <= min(c.Img.Rect.Dy()-1, int(max(y0, y1)+reach)); y++ {
		first, last := c.reached(x0, s.dx, y0-float64(y), s.dy, reach)
		if first <= last {
			s.row(float64(first)-x0, float64(y)-y0, c.Img.Pix[c.Img.PixOffset(first, y):][:4*(last-first+1)])
		}
	}
}

// stroke is a line from its first end: by (dx, dy), half its width to either side.
type stroke struct {
	dx, dy float64
	ink    color.NRGBA
	half   float64
}

// row draws on the pixels of a row, the first of them at (x, y) from the line's first
// end. A pixel is inked by what of it lies within the line's width, told by its
// middle's distance; most are wholly in or out, and squares tell those apart.
func (s *stroke) row(x, y float64, pix []uint8) {
	length2 := s.dx*s.dx + s.dy*s.dy
	reach2 := square(s.half + rimPx + 0.5)
	solid2 := -1.0
	if s.ink.A == 255 && s.half >= 0.5 {
		solid2 = square(s.half - 0.5) // the rim under it does not show
	}
	for ; len(pix) >= 4; x, pix = x+1, pix[4:] {
		var d2 float64
		switch along := x*s.dx + y*s.dy; {
		case along <= 0:
			d2 = x*x + y*y
		case along >= length2:
			d2 = square(x-s.dx) + square(y-s.dy)
		default:
			d2 = square(x*s.dy-y*s.dx) / length2
		}
		if d2 >= reach2 {
			continue
		}
		if d2 <= solid2 {
			pix[0], pix[1], pix[2] = s.ink.R, s.ink.G, s.ink.B
			continue
		}
		in := s.half + 0.5 - math.Sqrt(d2)
		over(pix, Black, min(in+rimPx, 1)*rimInk)
		if in > 0 {
			over(pix, s.ink, min(in, 1)*float64(s.ink.A)/255)
		}
	}
}

func square(v float64) float64 { return v * v }

// reached is the columns of a row that a line from x0 may come within pad of; it
// begins above rows under the row (negative: over it).
func (c *Canvas) reached(x0, dx, above, dy, pad float64) (from, to int) {
	low, high := 0.0, 1.0
	if dy != 0 {
		a, b := (-pad-above)/dy, (pad-above)/dy
		low, high = max(0, min(a, b)), min(1, max(a, b))
	}
	a, b := x0+low*dx, x0+high*dx
	return int(max(0, min(a, b)-pad)), min(c.Img.Rect.Dx()-1, int(max(a, b)+pad))
}

// Path draws a line through the points.
func (c *Canvas) Path(pts []calibrate.Pixel, closed bool, ink color.NRGBA, widthPx float64) {
	n := len(pts)
	for i := 0; i+1 < n; i++ {
		c.Line(pts[i], pts[i+1], ink, widthPx)
	}
	if closed && n > 2 {
		c.Line(pts[n-1], pts[0], ink, widthPx)
	}
}

// Circle draws a ring; radius in photo pixels.
func (c *Canvas) Circle(centre calibrate.Pixel, radiusPx float64, ink color.NRGBA, widthPx float64) {
	const steps = 48
	pts := make([]calibrate.Pixel, steps)
	for i := range pts {
		s, co := math.Sincos(2 * math.Pi * float64(i) / steps)
		pts[i] = calibrate.Pixel{X: centre.X + radiusPx*co, Y: centre.Y + radiusPx*s}
	}
	c.Path(pts, true, ink, widthPx)
}

// Tint colours the photo where amount(x, y), called with photo pixels, is above
// 0; 1 is full ink.
func (c *Canvas) Tint(ink color.NRGBA, amount func(x, y int) float64) {
	b := c.Img.Rect
	for y := range b.Dy() {
		for x := range b.Dx() {
			px := c.from.X + int(math.Floor((float64(x)+0.5)/c.scale))
			py := c.from.Y + int(math.Floor((float64(y)+0.5)/c.scale))
			if alpha := amount(px, py); alpha > 0 {
				over(c.Img.Pix[c.Img.PixOffset(x, y):], ink, min(alpha, 1)*float64(ink.A)/255)
			}
		}
	}
}

// Amounts says how much ink each cell of a grid over the photo takes, row by row: 0
// none, 1 full. A cell is Factor x Factor pixels, the first at the photo's corner.
type Amounts struct {
	W, H, Factor int
	V            []float32
}

// TintBy is Tint for amounts that are there already.
func (c *Canvas) TintBy(ink color.NRGBA, a Amounts) {
	cell := func(at, from int) int {
		return (from + int(math.Floor((float64(at)+0.5)/c.scale))) / a.Factor
	}
	var column []int32
	for x := range c.Img.Rect.Dx() {
		if at := cell(x, c.from.X); at < a.W {
			column = append(column, int32(at))
		}
	}
	for y := range c.Img.Rect.Dy() {
		at := cell(y, c.from.Y)
		if at >= a.H {
			return
		}
		vision.LayInk(c.Img.Pix[y*c.Img.Stride:], ink, a.V[at*a.W:(at+1)*a.W], column)
	}
}

// Text writes one line with its left baseline end at p, white on a dark plate.
func (c *Canvas) Text(p calibrate.Pixel, s string, ink color.NRGBA) error {
	const sizePx = 20
	parsed, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: sizePx, DPI: 72})
	if err != nil {
		return err
	}
	defer face.Close()
	x, y := c.at(p)
	d := font.Drawer{Dst: c.Img, Src: image.NewUniform(ink), Face: face}
	w := d.MeasureString(s).Ceil()
	x = math.Max(4, math.Min(x, float64(c.Img.Rect.Dx()-w-4)))
	y = math.Max(sizePx+4, math.Min(y, float64(c.Img.Rect.Dy()-6)))
	plate := image.Rect(int(x)-4, int(y)-sizePx, int(x)+w+4, int(y)+6)
	draw.Draw(c.Img, plate, image.NewUniform(color.NRGBA{0, 0, 0, 170}), image.Point{}, draw.Over)
	d.Dot = fixed.P(int(x), int(y))
	d.DrawString(s)
	return nil
}

// Encode writes the canvas as JPEG.
func (c *Canvas) Encode(w io.Writer) error {
	return vision.EncodeJPEG(w, c.Img, jpegQuality)
}
