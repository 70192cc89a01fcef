package pipeline_test

import (
	"testing"

	"rowlight/vision"
)

type testPhoto struct{ *vision.Photo }

func decoded(t *testing.T, stem string) testPhoto {
	t.Helper()
	p, err := vision.Decode(truthPhoto(t, stem))
	if err != nil {
		t.Fatal(err)
	}
	return testPhoto{p}
}

// besideItself lays two copies of the photo side by side.
func (p testPhoto) besideItself() *vision.Photo {
	out := &vision.Photo{W: 2 * p.W, H: p.H, FullW: 2 * p.W, FullH: p.H, Meta: p.Meta, Pix: make([]uint8, 0, 2*len(p.Pix))}
	for y := range p.H {
		row := p.Pix[3*y*p.W : 3*(y+1)*p.W]
		out.Pix = append(append(out.Pix, row...), row...)
	}
	return out
}

// turnedOver turns the photo by 180 degrees.
func (p testPhoto) turnedOver() *vision.Photo {
	out := *p.Photo
	out.Pix = make([]uint8, len(p.Pix))
	n := p.W * p.H
	for i := range n {
		copy(out.Pix[3*(n-1-i):], p.Pix[3*i:3*i+3])
	}
	return &out
}
