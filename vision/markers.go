package vision

import (
	"fmt"
	"image"
	"math"
	"sort"

	"gocv.io/x/gocv"

	"rowlight/calibrate"
)

const (
	// searchLongPx: the detector runs on a copy no longer than this; corners
	// are refined on the full photo. A marker of 100 mm at 8 m from a 26 mm
	// lens still has 22 px there, above the 7 modules x 3 px the code needs.
	searchLongPx = 2400
	// coarseLongPx is the second look at photos that left a board incomplete:
	// half the size averages noise and the edges of sun patches away.
	coarseLongPx = 1200
	// minPerimeterPx is the least perimeter of a marker in the search copy.
	minPerimeterPx = 56
	// polyRate is OpenCV's own default; loosePolyRate lets an outline through
	// that a sun patch has dented.
	polyRate, loosePolyRate = 0.03, 0.05
	// minAgree of a marker's printed edges must lie where its code has them. On
	// the rendered photos true markers reach 0.87 clean, 0.47 under the worst sun
	// patches; a wrong id at a marker's place keeps its border but not its code.
	minAgree = 0.45
)

// Markers finds the survey boards' markers in a photo: every sighting, in the
// photo's own pixel space, corners fitted to a fraction of a pixel, by id. Two
// boards with one number give two sightings of an id (see GroupBoards). No
// marker is no error.
func Markers(p *Photo) ([]calibrate.MarkerSighting, error) {
	light, err := newLightPlane(p)
	if err != nil {
		return nil, err
	}
	codes, err := markerCodes()
	if err != nil {
		return nil, err
	}
	s := &markerSearch{photo: p, light: light, codes: codes, edges: map[int][]cellEdge{}}
	if err := s.run(); err != nil {
		return nil, err
	}
	return s.sightings(), nil
}

// sound refuses a photo whose bytes are not those of its size.
func (p *Photo) sound() error {
	if p.W <= 0 || p.H <= 0 || len(p.Pix) != 3*p.W*p.H {
		return fmt.Errorf("vision: look at a photo: %d bytes for %d x %d pixels", len(p.Pix), p.W, p.H)
	}
	return nil
}

// greyMat returns the photo as a grey Mat; the caller closes it.
func greyMat(p *Photo) (gocv.Mat, error) {
	if err := p.sound(); err != nil {
		return gocv.Mat{}, err
	}
	rgb, err := gocv.NewMatFromBytes(p.H, p.W, gocv.MatTypeCV8UC3, p.Pix)
	if err != nil {
		return gocv.Mat{}, fmt.Errorf("vision: grey copy: %w", err)
	}
	defer rgb.Close()
	grey := gocv.NewMat()
	gocv.CvtColor(rgb, &grey, gocv.ColorRGBToGray)
	return grey, nil
}

// foundMarker is a marker with the share of its print that agrees.
type foundMarker struct {
	id int
	patternFit
}

type markerSearch struct {
	photo *Photo
	light *lightPlane
	codes [markerCount]uint32
	edges map[int][]cellEdge // by id, as they are needed
	found []foundMarker
}

// run looks at small copies first, and harder where a board stays incomplete.
func (s *markerSearch) run() error {
	if done, err := s.glance(); done || err != nil {
		return err
	}
	grey, err := greyMat(s.photo)
	if err != nil {
		return err
	}
	defer grey.Close()
	if err := s.look(grey, searchLongPx, polyRate, asIs); err != nil {
		return err
	}
	if s.complete() {
		return nil
	}
	if err := s.look(grey, coarseLongPx, loosePolyRate, asIs); err != nil {
		return err
	}
	if len(s.found) == 0 {
		if err := s.look(grey, searchLongPx, loosePolyRate, flattened); err != nil {
			return err
		}
	}
	return s.completeBoards()
}

// complete tells whether a board was seen and none lacks a marker.
func (s *markerSearch) complete() bool {
	counts := map[int]int{}
	for _, m := range s.found {
		counts[calibrate.BoardNumber(m.id)]++
	}
	for _, n := range counts {
		if n < calibrate.MarkersPerBoard {
			return false
		}
	}
	return len(counts) > 0
}

// asIs and flattened prepare the search copy, in place.
func asIs(*gocv.Mat) {}

// flattened evens the light out: each tile of the photo gets its own tone curve
// (contrast-limited adaptive histogram equalisation; clip and tiles are common
// practice).
func flattened(m *gocv.Mat) {
	clahe := gocv.NewCLAHEWithParams(4, image.Pt(16, 16))
	defer clahe.Close()
	clahe.Apply(*m, m)
}

// look runs the detector on a copy no longer than longPx and keeps what is new
// and reads as a marker on the full photo.
func (s *markerSearch) look(grey gocv.Mat, longPx, poly float64, prepare func(*gocv.Mat)) error {
	full := math.Max(float64(s.light.w), float64(s.light.h))
	scale := math.Min(1, longPx/full)
	small := gocv.NewMat()
	defer small.Close()
	gocv.Resize(grey, &small, image.Point{}, scale, scale, gocv.InterpolationArea)
	prepare(&small)
	raw, err := findMarkers(small, minPerimeterPx/(scale*full), poly)
	if err != nil {
		return err
	}
	for _, m := range raw {
		var c [4]calibrate.Pixel
		for i, q := range m.corners {
			c[i] = calibrate.Pixel{X: (float64(q[0])+0.5)/scale - 0.5, Y: (float64(q[1])+0.5)/scale - 0.5}
		}
		if s.has(m.id, c) {
			continue
		}
		if err := s.try(m.id, c); err != nil {
			return err
		}
	}
	return nil
}

// try fits a marker from a start and keeps it if its print agrees.
func (s *markerSearch) try(id int, start [4]calibrate.Pixel) error {
	fit, err := s.fit(id, start)
	if err == nil && fit.agree >= minAgree && !s.has(id, fit.corners) {
		s.found = append(s.found, foundMarker{id, fit})
	}
	return err
}

// fit fits a marker's print, from the start itself and from its outer edges as
// lines, and returns the better.
func (s *markerSearch) fit(id int, start [4]calibrate.Pixel) (patternFit, error) {
	edges, ok := s.edges[id]
	if !ok {
		black, err := MarkerPattern(id)
		if err != nil {
			return patternFit{}, err
		}
		edges = edgesOf(black)
		s.edges[id] = edges
	}
	fit, _ := s.light.fitPattern(s.light.refineQuad(start), edges)
	if fit.agree >= sureAgree {
		return fit, nil
	}
	if direct, _ := s.light.fitPattern(start, edges); direct.agree > fit.agree {
		fit = direct
	}
	return fit, nil
}

// has tells whether the same id was already found at the same place: centres
// nearer than half a side.
func (s *markerSearch) has(id int, c [4]calibrate.Pixel) bool {
	for _, m := range s.found {
		if m.id == id && centre(m.corners).Dist(centre(c)) < c[0].Dist(c[1])/2 {
			return true
		}
	}
	return false
}

func centre(c [4]calibrate.Pixel) calibrate.Pixel {
	return calibrate.Pixel{X: (c[0].X + c[1].X + c[2].X + c[3].X) / 4, Y: (c[0].Y + c[1].Y + c[2].Y + c[3].Y) / 4}
}

// sightings lists what was found by id, then from left to right.
func (s *markerSearch) sightings() []calibrate.MarkerSighting {
	out := make([]calibrate.MarkerSighting, 0, len(s.found))
	for _, m := range s.found {
		out = append(out, calibrate.MarkerSighting{ID: m.id, Corners: m.corners})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].ID != out[j].ID {
			return out[i].ID < out[j].ID
		}
		return out[i].Corners[0].X < out[j].Corners[0].X
	})
	return out
}
