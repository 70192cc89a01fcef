package pipeline_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/vision"
)

// One worker and eight give the same bytes.
func TestWorkersDoNotChangeTheResult(t *testing.T) {
	if testing.Short() {
		t.Skip("measures eight photos")
	}
	photos := map[string][]byte{
		"b1-r01-t01-floor.jpg": truthPhoto(t, "practice_floor_00"), "b1-r01-t02-floor.jpg": truthPhoto(t, "practice_floor_01"),
		"b1-r01-t01-side.jpg": truthPhoto(t, "practice_side_02"), "b1-r01-t02-alley.jpg": []byte("no photo"),
	}
	var got []string
	for _, workers := range []int{1, 8} {
		dir := newOrchard(t, photos)
		o, err := orchard.Load(dir)
		if err != nil {
			t.Fatal(err)
		}
		res, err := pipeline.Run(context.Background(), pipeline.RunOptions{Dir: dir, Orchard: o, Visit: visit, Version: "test", Workers: workers}, nil)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(res.Visit)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, string(text))
	}
	if got[0] != got[1] {
		t.Error("one worker and eight differ")
	}
}

// Without EXIF the share as measured stands; what needs the sun is absent and
// says why.
func TestPhotoWithoutEXIFIsMeasuredAsFarAsItGoes(t *testing.T) {
	p := decoded(t, "practice_floor_00")
	p.Meta = vision.Meta{Orientation: 1}
	out := pipeline.MeasurePhoto(p.Photo, orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings()})
	if out.Status != orchard.Measured {
		t.Fatalf("status %s: %s", out.Status, out.Reason)
	}
	for _, m := range out.Measurements {
		switch m.Quantity {
		case orchard.SunlitFraction:
			if m.Value == nil {
				t.Error("no sunlit share though it needs no EXIF")
			}
		case orchard.SunlitFractionRef:
			if m.Value != nil || m.Absent == "" {
				t.Error("a share brought to another sun without knowing the sun")
			}
		}
	}
	if !strings.Contains(strings.Join(out.Flags, " "), "sun's height is not known") {
		t.Errorf("flags %q do not say that the sun is not known", out.Flags)
	}
}

// A name of 240 bytes in a script of three bytes a letter leaves no room for
// what an overlay's name adds, unless it is cut between letters.
func TestLongNamesInAnyScriptGetAnOverlay(t *testing.T) {
	name := "b1-r01-t01-floor-" + strings.Repeat("樹", 73) + ".jpg"
	dir := newOrchard(t, map[string][]byte{name: truthPhoto(t, "practice_floor_00")})
	res := runIn(t, dir)
	r := res.Visit.Photos[0]
	if r.Status == orchard.Failed || (r.Status == orchard.Measured && r.Overlay == "") {
		t.Errorf("status %s: %s, overlay %q", r.Status, r.Reason, r.Overlay)
	}
}
