package main

import (
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/scene"
)

// The same seed draws the same plan; another, another.
func TestPlansComeFromTheSeedAlone(t *testing.T) {
	for name, draw := range map[string]func(*scene.Rand) *plan{"floor": planFloor, "side": planSide} {
		a, b, c := draw(scene.NewRand(1, 2)), draw(scene.NewRand(1, 2)), draw(scene.NewRand(2, 2))
		if a.eye != b.eye || a.film != b.film || a.light.taken != b.light.taken || len(a.trees) != len(b.trees) {
			t.Errorf("%s: the same seed gives two plans", name)
		}
		if a.eye == c.eye {
			t.Errorf("%s: two seeds give one plan", name)
		}
	}
}

// Sun and EXIF must tell one story, and stay within what the plan asks for.
func TestLightStandsWhereAskedFor(t *testing.T) {
	rnd := scene.NewRand(7)
	for range 20 {
		l := drawLight(rnd, 30, 86, 0)
		if s := scene.SunAt(l.taken, l.lat, l.lon); s != l.sun || s.ElevationDeg < 29 || s.ElevationDeg > 87 {
			t.Errorf("sun at %v, the photo's time and place say %v", l.sun, s)
		}
	}
}

// A floor photo comes out whole: picture and truth, with what the accuracy table
// reads.
func TestPhotoHasItsTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a photo")
	}
	dir := t.TempDir()
	if _, err := drawAll(context.Background(), options{out: dir, seed: 3, floor: 1, workers: 1}, io.Discard); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "wide_floor_00.json"))
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Kind, Note, Case string
		Truth            map[string]any
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	share, ok := got.Truth["sun_fraction_within_1p5m_of_board"].(float64)
	if got.Kind != "floor" || got.Note == "" || got.Case == "" || !ok || share < 0 || share > 1 {
		t.Errorf("truth is %+v", got)
	}
	if _, err := os.Stat(filepath.Join(dir, "wide_floor_00.jpg")); err != nil {
		t.Error(err)
	}
}
