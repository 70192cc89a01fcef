package main

import (
	"bytes"
	"image"
	"image/color"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
	"rowlight/vision"
)

func TestCountsAreReadAndSorted(t *testing.T) {
	got, err := parseCounts("1000, 100 1000")
	if err != nil || !slices.Equal(got, []int{100, 1000}) {
		t.Errorf("got %v, %v", got, err)
	}
	for _, bad := range []string{"", " ", "many", "2", "-100", "1e9", "99999999999999999999"} {
		if got, err := parseCounts(bad); err == nil {
			t.Errorf("%q was read as %v", bad, got)
		}
	}
}

// smallJPEG is a photo with EXIF as the scenes have it.
func smallJPEG(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 320))
	for i := range img.Pix {
		img.Pix[i] = uint8(i * 7)
	}
	img.SetRGBA(0, 0, color.RGBA{9, 9, 9, 255})
	data, err := scene.EncodeJPEG(img, scene.Exif{Taken: time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC), LatitudeDeg: -27, LongitudeDeg: 152, Focal35mm: 26})
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// A marked copy has bytes of its own, and the same pixels and EXIF.
func TestMarkedCopiesDifferInBytesOnly(t *testing.T) {
	plain := smallJPEG(t)
	one, err1 := marked(plain, 1)
	two, err2 := marked(plain, 2)
	if err1 != nil || err2 != nil || bytes.Equal(one, two) || bytes.Equal(one, plain) {
		t.Fatalf("copies are the same, or %v, %v", err1, err2)
	}
	before, err := vision.Decode(plain)
	if err != nil {
		t.Fatal(err)
	}
	after, err := vision.Decode(one)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before.Pix, after.Pix) || after.Meta.Focal35MM == nil || *after.Meta.Focal35MM != *before.Meta.Focal35MM ||
		after.Meta.TakenAt == nil || !after.Meta.TakenAt.Equal(*before.Meta.TakenAt) {
		t.Errorf("the copy's picture or EXIF is not the original's: %+v, %+v", after.Meta, before.Meta)
	}
	for _, bad := range [][]byte{nil, plain[:3], plain[:20], []byte("GIF89a and more")} {
		if _, err := marked(bad, 1); err == nil {
			t.Errorf("%d bytes that are no whole JPEG were marked", len(bad))
		}
	}
}

// Every photo of a corpus is placed at a tree, one of each kind a tree, over more than
// one block, each with a hash of its own.
func TestCorpusIsPlacedWhole(t *testing.T) {
	by := map[orchard.Kind][]drawn{}
	for _, k := range kinds() {
		by[k] = []drawn{{k, smallJPEG(t)}}
	}
	const count = photosAtOneTree*treesPerBlock + 7
	c, err := lay(t.TempDir(), by, count)
	if err != nil {
		t.Fatal(err)
	}
	dir, err := c.orchardOf(count)
	if err != nil {
		t.Fatal(err)
	}
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	scan, err := orchard.ScanVisit(dir, visitName)
	if err != nil || len(scan.Photos) != count || len(scan.Problems) > 0 {
		t.Fatalf("%d photos of %d found, %v, %v", len(scan.Photos), count, scan.Problems, err)
	}
	seen := make([]orchard.Seen, count)
	for i, p := range scan.Photos {
		seen[i] = orchard.Seen{Path: p, Visit: visitName}
	}
	placed, _ := o.PlacePhotos(seen, nil)
	shots, bytesOf := map[string]bool{}, map[string]bool{}
	for _, p := range placed {
		if p.Tree == nil || p.Status != "" {
			t.Fatalf("%s is placed at no tree: %s", p.Path, p.Reason)
		}
		shots[p.Tree.String()+string(p.Kind)] = true
		data, err := os.ReadFile(filepath.Join(dir, p.Path))
		if err != nil {
			t.Fatal(err)
		}
		bytesOf[string(data)] = true
	}
	if len(shots) != count || len(bytesOf) != count {
		t.Errorf("%d shots and %d different files of %d photos", len(shots), len(bytesOf), count)
	}
	c.remove()
	if left, _ := filepath.Glob(filepath.Join(c.dir, "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestScenesAreChosenByTheDrawingAlone(t *testing.T) {
	dir := t.TempDir()
	put := func(stem, json string) {
		for name, text := range map[string]string{stem + ".json": json, stem + ".jpg": stem} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	put("a0", `{"kind":"side","image":"a0.jpg","sky":"overcast","camera":{"width":4000,"height":3000},"truth":{}}`)
	put("a1", `{"kind":"side","image":"a1.jpg","sky":"clear","camera":{"width":4000,"height":3000},"truth":{"top_in_frame":false}}`)
	put("a2", `{"kind":"side","image":"a2.jpg","sky":"clear","camera":{"width":1600,"height":1200},"truth":{"top_in_frame":true}}`)
	for i, k := range kinds() {
		stem := []string{"b0", "b1", "b2"}[i]
		put(stem, `{"kind":"`+string(k)+`","image":"`+stem+`.jpg","sky":"hazy","camera":{"width":3000,"height":4000},"truth":{}}`)
	}
	got, err := scenes(dir, 1)
	if err != nil || len(got) != 3 || string(got[orchard.Side][0].data) != "b1" {
		t.Errorf("got %v, %v", got, err)
	}
	if _, err := scenes(dir, 2); err == nil {
		t.Error("two scenes of a kind were found where there is one")
	}
	put("c", `{"kind":"side","image":"../c.jpg"}`)
	if _, err := scenes(dir, 1); err == nil {
		t.Error("a picture outside the folder was taken")
	}
}

func took(photos, workers int, wallS, cpuS, mib float64) spent {
	return spent{Photos: photos, Workers: workers, Wall: seconds(wallS), CPU: seconds(cpuS), PeakMiB: mib}
}

// The ratios and verdicts by hand: 100 photos decoded in 4 s, assessed in 8 by two and
// 14 by one, 45 by the script; 1,000 assessed in 87.
func TestVerdictsFollowTheFigures(t *testing.T) {
	decode, plain := took(100, 2, 4, 8, 0), took(100, 2, 45, 88, 900)
	m := &measured{DecodeOurs: took(100, 2, 2, 4, 0), DecodeOpenCV: &decode, Plain: &plain, PlainGave: 90, GaveNumbers: 95,
		Assess: []spent{took(100, 2, 8, 16, 400), took(1000, 2, 87, 161, 599)}, AssessOne: took(100, 1, 14, 14, 300)}
	verdicts := judge(m)
	want := []struct {
		found, cpu float64
		missed     bool
	}{{2, 2, false}, {5.625, 5.5, false}, {599, math.NaN(), false}, {1.0875, 1.00625, false}, {1.75, math.NaN(), false}}
	same := func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9 }
	for i, v := range verdicts {
		if !same(v.Found, want[i].found) || !same(v.FoundCPU, want[i].cpu) || v.missed() != want[i].missed {
			t.Errorf("%s: found %v (%v), missed %v, want %+v", v.What, v.Found, v.FoundCPU, v.missed(), want[i])
		}
	}
	m.Assess[1].Wall, m.Assess[1].PeakMiB, m.AssessOne.Wall = seconds(89), 601, seconds(13.5)
	m.Assess[0].Wall, m.Plain.Wall = seconds(8.01), seconds(40)
	for _, v := range judge(m) {
		if !v.missed() {
			t.Errorf("%s: %v is called within the limit of %v", v.What, v.Found, v.Limit)
		}
	}
	var b strings.Builder
	if err := write(&b, m, judge(m)); err != nil || strings.Count(b.String(), "MISSED") != 5 || !strings.Contains(b.String(), "95 of 100") {
		t.Errorf("%v; it prints\n%s", err, b.String())
	}
}

// What was not measured is neither held nor missed.
func TestMissingFiguresAreSaid(t *testing.T) {
	m := &measured{DecodeOurs: took(10, 4, 1, 1, 0), Assess: []spent{took(10, 4, 8, 16, 400)}, AssessOne: took(10, 1, 14, 14, 300), Notes: []string{"no Python"}}
	var b strings.Builder
	if err := write(&b, m, judge(m)); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "not measured"); n != 4 || !strings.Contains(b.String(), "no Python") {
		t.Errorf("%d of 4 figures called not measured in\n%s", n, b.String())
	}
	if slices.ContainsFunc(judge(m), verdict.missed) {
		t.Error("a figure that is missing counts as missed")
	}
}

func TestMiddleRunIsTheMedian(t *testing.T) {
	turns := []turn{{plain: took(1, 1, 9, 0, 0)}, {plain: took(1, 1, 2, 0, 0)}, {plain: took(1, 1, 3, 0, 0)}}
	if m := middle(turns, func(t turn) spent { return t.plain }); m.Wall != seconds(3) {
		t.Errorf("middle of 9, 2, 3 is %v", m.Wall)
	}
}

func TestPlainLineIsRead(t *testing.T) {
	p, err := parsePlain("photos 100 good 97 seconds 12.500 cpu_seconds 24.250\n")
	if err != nil || p != (plainLine{100, 97, seconds(12.5), seconds(24.25)}) {
		t.Errorf("got %+v, %v", p, err)
	}
	if _, err := parsePlain("Traceback (most recent call last):"); err == nil {
		t.Error("an error of Python's was read as a result")
	}
}

func TestWrongCallsAreRefused(t *testing.T) {
	for _, args := range [][]string{{"-counts", "x"}, {"-workers", "0"}, {"-scenes", "0"}, {"folder"}} {
		if code := run(t.Context(), args, io.Discard, io.Discard); code != 2 {
			t.Errorf("%v: exit status %d", args, code)
		}
	}
	if code := run(t.Context(), []string{"-dir", t.TempDir()}, io.Discard, io.Discard); code != 1 {
		t.Errorf("without scenes: exit status %d", code)
	}
}
