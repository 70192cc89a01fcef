package pipeline

import (
	"path/filepath"
	"strings"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
)

// floorKept is a photo kept in the repository with its truth.
func floorKept(t *testing.T) Shot {
	t.Helper()
	files, err := filepath.Glob("../../testdata/rendered/*floor*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("no floor photo is kept in testdata: %v", err)
	}
	for _, f := range files {
		if tr := readFloorTruth(t, f); tr.kase == "partial" {
			return floorShot(t, loadFloor(t, tr.stem), tr.elevationDeg)
		}
	}
	t.Fatal("no partly lit floor photo is kept in testdata")
	return Shot{}
}

func TestFloorFillsEveryQuantity(t *testing.T) {
	res, err := measureFloor(floorKept(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []orchard.Quantity{orchard.SunlitFraction, orchard.SunlitFractionRef, orchard.SunlitFractionBinary,
		orchard.FloorContrast, orchard.FloorAreaM2, orchard.SunElevationDeg} {
		m := findMeasurement(t, res, q)
		if m.Value == nil || *m.Low95 > *m.Value || *m.High95 < *m.Value || *m.Low95 == *m.High95 {
			t.Errorf("%s: %+v", q, m)
		}
	}
	if res.Overlay == nil {
		t.Error("no overlay")
	}
}

func TestFloorWithoutSunKnownSaysSo(t *testing.T) {
	s := floorKept(t)
	s.Sun = nil
	res, err := measureFloor(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []orchard.Quantity{orchard.SunlitFractionRef, orchard.SunElevationDeg} {
		if m := findMeasurement(t, res, q); m.Value != nil || m.Absent == "" {
			t.Errorf("%s should be absent with a reason: %+v", q, m)
		}
	}
	if len(res.Flags) == 0 {
		t.Error("no flag that the sun's height could not be checked")
	}
}

// A board printed twice as large makes every length twice as long: the floor in
// the same ring is then at most what the photo shows at four times the area.
func TestFloorAreaFollowsTheBoardsScale(t *testing.T) {
	s := floorKept(t)
	s.Set.FloorRadiusM = 0.5
	small, err := measureFloor(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Set.FloorRadiusM, s.Set.BoardScale = 1.0, 2
	big, err := measureFloor(s)
	if err != nil {
		t.Fatal(err)
	}
	a, b := *findMeasurement(t, small, orchard.FloorAreaM2).Value, *findMeasurement(t, big, orchard.FloorAreaM2).Value
	// The reduced copy's factor differs, so the ring's edge does by a pixel or
	// two in some hundred.
	if ratio := b / a; ratio < 3.9 || ratio > 4.1 {
		t.Errorf("area grew %.2f-fold, 4 expected", ratio)
	}
}

func TestFloorRefusals(t *testing.T) {
	low := floorKept(t)
	low.Sun = &Sun{ElevationDeg: 24}
	none := floorKept(t)
	none.Boards = nil
	white := floorKept(t)
	burnt := *white.Photo
	burnt.Pix = append([]uint8(nil), burnt.Pix...)
	for i := range burnt.Pix[:len(burnt.Pix)/3] {
		burnt.Pix[i] = 255
	}
	white.Photo = &burnt
	for _, c := range []struct {
		name, says string
		shot       Shot
	}{
		{"low sun", "24 degrees", low}, {"no board", "no board", none}, {"burnt out", "burnt out", white},
	} {
		_, err := measureFloor(c.shot)
		if u, ok := metrics.AsUnusable(err); !ok || !strings.Contains(u.Reason, c.says) || u.Mend == "" {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
}

// A photo without any floor in it must be refused, not panic.
func TestFloorOfPlainGreyIsRefused(t *testing.T) {
	s := floorKept(t)
	grey := &vision.Photo{W: s.Photo.W, H: s.Photo.H, FullW: s.Photo.FullW, FullH: s.Photo.FullH, Pix: make([]uint8, len(s.Photo.Pix))}
	for _, code := range []uint8{0, 128} {
		for i := range grey.Pix {
			grey.Pix[i] = code
		}
		s.Photo = grey
		if _, err := measureFloor(s); err == nil {
			t.Errorf("a photo of plain %d was measured", code)
		}
	}
	tiny := &vision.Photo{W: 1, H: 1, FullW: 1, FullH: 1, Pix: []uint8{1, 2, 3}}
	s.Photo, s.Camera = tiny, calibrate.PriorCamera(1, 1, 26)
	if _, err := measureFloor(s); err == nil {
		t.Error("a photo of one pixel was measured")
	}
}
