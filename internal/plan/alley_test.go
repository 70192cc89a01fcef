package plan

import (
	"math"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// alleyVisit is a tree between a left alley of 1.5 m and a right one of rightM, its
// side photo taken from a side.
func alleyVisit(o *orchard.Orchard, rightM float64, from string) *orchard.VisitResult {
	r := result("b1", 2, 2, 1, 0.05, 4)
	narrow := measured(orchard.ClearWidthM, 1.5, 0.3)
	narrow.Photos = []string{"photos/x/alley-left.jpg"}
	r.Measurements = append(r.Measurements, narrow)
	v := visit(o, "2026-08-20", r)
	photo := func(path string, kind orchard.Kind, side string, ms ...orchard.Measurement) orchard.Record {
		return orchard.Record{Path: path, Tree: &r.ID, Kind: kind, Status: orchard.Measured, AlleySide: side, Measurements: ms}
	}
	v.Photos = []orchard.Record{
		photo("photos/x/side.jpg", orchard.Side, from),
		photo("photos/x/alley-left.jpg", orchard.Alley, "left", narrow),
		photo("photos/x/alley-right.jpg", orchard.Alley, "right", measured(orchard.ClearWidthM, rightM, 0.3)),
	}
	return v
}

// Both alleys under the 2.5 m target: each side is marked with its own depth, half of
// what its alley lacks (the other row gives the rest), and with the face of the photo.
func TestBothAlleysThatAreShortAreCut(t *testing.T) {
	o := testOrchard(t, "")
	var got []Place
	for _, p := range build(t, Input{Orchard: o, Visit: alleyVisit(o, 1.9, "right")}).Trees[0].Places {
		if p.Kind == "alley side" {
			got = append(got, p)
		}
	}
	if len(got) != 2 {
		t.Fatalf("%d alley sides, want 2: %+v", len(got), got)
	}
	for i, want := range []struct {
		side, face, words string
		sizeM             float64
	}{{"left", metrics.FarFace, "left of the row as you walk from its tree 1 (the back of the picture)", 0.5}, {"right", metrics.NearFace, "right of the row as you walk from its tree 1 (the face in the picture)", 0.3}} {
		p := got[i]
		if p.Side != want.side || p.Face != want.face || math.Abs(p.SizeM-want.sizeM) > 1e-9 || !strings.Contains(p.Say, want.words) {
			t.Errorf("place %d: %+v, want %+v", i, p, want)
		}
	}
}

// An alley that is wide enough is not cut, and a photo that does not say from where it
// was taken names no face.
func TestAlleySideIsOnlyAsSureAsItsPhotos(t *testing.T) {
	o := testOrchard(t, "")
	n := 0
	for _, p := range build(t, Input{Orchard: o, Visit: alleyVisit(o, 3, "")}).Trees[0].Places {
		if p.Kind != "alley side" {
			continue
		}
		if n++; p.Side != "left" || p.Face != "" || strings.Contains(p.Say, "picture") {
			t.Errorf("%+v", p)
		}
	}
	if n != 1 {
		t.Errorf("%d alley sides, want 1", n)
	}
}
