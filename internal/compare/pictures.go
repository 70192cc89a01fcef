package compare

import (
	"fmt"
	"image"
	"io"
	"os"
	"path"
	"path/filepath"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/internal/wholefile"
	"rowlight/vision"
)

// PictureDir holds the pairs of pictures, within results/<after>/.
const PictureDir = "compare-pictures"

// grey fills what the second photo does not show.
const grey = 96

// sidePictures writes the two side photos, the second laid on the first where
// that could be done.
func (r *run) sidePictures(t *tree) error {
	p := t.side
	if p == nil || p.look[0] == nil || p.look[1] == nil {
		return nil
	}
	first, second := p.look[0].Photo, p.look[1].Photo
	aligned := false
	if p.change != nil {
		if m, ok := p.look[1].Onto(p.look[0], p.change.Fit); ok {
			second, aligned = warped(second, m, first.W, first.H), true
		}
	}
	return r.write(t, orchard.Side, first, second, aligned)
}

// floorPictures writes the first floor photo of each visit as they are: a board
// set down by eye lies otherwise each time.
func (r *run) floorPictures(t *tree) error {
	b, a := r.photosOf(r.opt.Before, t.out.ID, orchard.Floor), r.photosOf(r.opt.After, t.out.ID, orchard.Floor)
	if len(b) == 0 || len(a) == 0 {
		return nil
	}
	var photos [2]*vision.Photo
	for i, p := range [2]string{b[0].Path, a[0].Path} {
		data, err := os.ReadFile(filepath.Join(r.opt.Dir, filepath.FromSlash(p)))
		if err != nil {
			return nil // it was there when measured; the numbers stand without the picture
		}
		if photos[i], err = vision.Decode(data); err != nil {
			return nil
		}
	}
	return r.write(t, orchard.Floor, photos[0], photos[1], false)
}

// write writes a pair as JPEGs of one size.
func (r *run) write(t *tree, kind orchard.Kind, first, second *vision.Photo, aligned bool) error {
	pic := Picture{Kind: kind, Aligned: aligned}
	for i, photo := range [2]*vision.Photo{first, second} {
		c := overlay.New(photo.W, photo.H, photo.Pix)
		name := fmt.Sprintf("%s-%s-%s-%s.jpg", t.out.ID, kind, r.opt.Before.Visit, [2]string{"before", "after"}[i])
		err := wholefile.Write(filepath.Join(r.opt.OutDir, PictureDir, name), func(w io.Writer) error { return c.Encode(w) })
		if err != nil {
			return err
		}
		if rel := path.Join(PictureDir, name); i == 0 {
			pic.Before, pic.Width, pic.Height = rel, c.Img.Rect.Dx(), c.Img.Rect.Dy()
		} else {
			pic.After = rel
		}
	}
	t.out.Pictures = append(t.out.Pictures, pic)
	return nil
}

// warped draws a photo as seen from another: m maps the other's pixels into it.
func warped(p *vision.Photo, m calibrate.Mat3, w, h int) *vision.Photo {
	out := &vision.Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h), Meta: p.Meta}
	for y := range h {
		for x := range w {
			q := m.Apply(calibrate.Pixel{X: float64(x), Y: float64(y)})
			px := image.Pt(int(q.X+0.5), int(q.Y+0.5))
			at := 3 * (y*w + x)
			if q.X < 0 || q.Y < 0 || px.X >= p.W || px.Y >= p.H {
				out.Pix[at], out.Pix[at+1], out.Pix[at+2] = grey, grey, grey
				continue
			}
			copy(out.Pix[at:at+3], p.Pix[3*(px.Y*p.W+px.X):])
		}
	}
	return out
}
