package pipeline_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// runTold is a run of one photo at a time with someone to tell of each.
func runTold(t *testing.T, dir string, emit func(pipeline.Event)) (map[string]orchard.Record, *pipeline.Result) {
	t.Helper()
	return byName(t, pipeline.RunOptions{Dir: dir, Workers: 1}, emit)
}

// Photos that go, change or are half copied while others are measured cost nothing
// beside them, and the next run takes them up as they are then.
func TestPhotosThatVanishOrChangeUnderARun(t *testing.T) {
	old, anew, half := []byte("as it was"), truthPhoto(t, "practice_c_floor_10"), truthPhoto(t, "practice_c_floor_10")[:50000]
	dir := newOrchard(t, map[string][]byte{
		"b1-r01-t01-floor.jpg": []byte("first"), "b1-r01-t02-floor.jpg": old, "b1-r01-t03-floor.jpg": old, "b1-r01-t04-floor.jpg": old, "b1-r01-t05-floor.jpg": []byte("last"),
	})
	at := func(name string) string { return filepath.Join(dir, "photos", visit, name) }
	put := func(name string, data []byte) {
		if err := os.WriteFile(at(name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, _ := runTold(t, dir, func(e pipeline.Event) {
		if e.Done == 1 {
			if err := os.Remove(at("b1-r01-t02-floor.jpg")); err != nil {
				t.Error(err)
			}
			put("b1-r01-t03-floor.jpg", anew)
			put("b1-r01-t04-floor.jpg", half)
		}
	})
	for name, want := range map[string]struct {
		status orchard.Status
		says   string
	}{
		"b1-r01-t01-floor.jpg": {orchard.Failed, "not a"},
		"b1-r01-t02-floor.jpg": {orchard.Failed, "no such file"},
		"b1-r01-t03-floor.jpg": {orchard.Measured, ""},
		"b1-r01-t04-floor.jpg": {orchard.Failed, "cut short"},
		"b1-r01-t05-floor.jpg": {orchard.Failed, "not a"},
	} {
		if r := got[name]; r.Status != want.status || !strings.Contains(r.Reason, want.says) {
			t.Errorf("%s: %s, %q; want it %s with %q", name, r.Status, r.Reason, want.status, want.says)
		}
	}
	put("b1-r01-t02-floor.jpg", old)
	put("b1-r01-t04-floor.jpg", anew) // copied to its end
	got, res := runTold(t, dir, nil)
	if res.Measured != 2 || res.Reused != 3 {
		t.Errorf("the next run measures %d and keeps %d, want the 2 that came back and 3", res.Measured, res.Reused)
	}
	if r := got["b1-r01-t04-floor.jpg"]; r.Status != orchard.Measured {
		t.Errorf("the photo that was copied to its end is %s: %s", r.Status, r.Reason)
	}
}

// A pair is of the photos whose numbers stand beside it, or of none.
func TestPhotoOfAPairThatChangesUnderTheRun(t *testing.T) {
	if testing.Short() {
		t.Skip("measures pairs")
	}
	a := truthPhoto(t, "practice_side_02")
	b := append(bytes.Clone(a), "\nanother file"...)
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-side-a.jpg": a, "b1-r01-t01-side-b.jpg": b})
	second := filepath.Join(dir, "photos", visit, "b1-r01-t01-side-b.jpg")
	for name, change := range map[string]func() error{
		"changed":      func() error { return os.WriteFile(second, append(bytes.Clone(b), '!'), 0o644) },
		"no such file": func() error { return os.Remove(second) },
	} {
		if err := os.WriteFile(second, b, 0o644); err != nil {
			t.Fatal(err)
		}
		_, res := runTold(t, dir, func(e pipeline.Event) {
			if e.Done == e.Total {
				if err := change(); err != nil {
					t.Error(err)
				}
			}
		})
		if len(res.Visit.Pairs) != 1 || res.Visit.Pairs[0].Status != orchard.Failed || !strings.Contains(res.Visit.Pairs[0].Reason, name) {
			t.Errorf("%s: pairs %+v, want one that failed and says so", name, res.Visit.Pairs)
		}
	}
	if err := os.WriteFile(second, b, 0o644); err != nil {
		t.Fatal(err)
	}
	_, res := runTold(t, dir, nil)
	if len(res.Visit.Pairs) != 1 || res.Visit.Pairs[0].Status != orchard.Refused { // two photos from one place tell no depth
		t.Errorf("with its photo back: pairs %+v, want one, refused", res.Visit.Pairs)
	}
}

// Nothing is passed over or measured again for what a clock says; content alone counts.
func TestClocksThatJumpChangeNothing(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": halfSize(t, truthPhoto(t, "practice_floor_00")), "b1-r01-t02-floor.jpg": []byte("no photo")})
	first := written(t, pipeline.RunOptions{Dir: dir})
	files := filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit))
	if first.Measured != 2 {
		t.Fatalf("measured %d, want 2", first.Measured)
	}
	for _, at := range []time.Time{time.Date(2099, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(1971, 1, 1, 0, 0, 0, 0, time.UTC), {}} {
		everyTime(t, dir, at)
		res := written(t, pipeline.RunOptions{Dir: dir})
		if res.Measured != 0 || res.Reused != 2 {
			t.Errorf("files of %v: measured %d, kept %d; want 0 and 2", at, res.Measured, res.Reused)
		}
		sameFiles(t, at.String(), files, filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit)))
	}
	photo := filepath.Join(dir, "photos", visit, "b1-r01-t02-floor.jpg")
	before, err := os.Stat(photo)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(photo, []byte("on photo"), 0o644); err != nil { // as long as before
		t.Fatal(err)
	}
	if err := os.Chtimes(photo, before.ModTime(), before.ModTime()); err != nil {
		t.Fatal(err)
	}
	if res := written(t, pipeline.RunOptions{Dir: dir}); res.Measured != 1 || res.Reused != 1 {
		t.Errorf("a photo changed behind its old time and size: measured %d, kept %d; want 1 and 1", res.Measured, res.Reused)
	}
}

// everyTime sets the times of all below a folder, the folders' last.
func everyTime(t *testing.T, dir string, at time.Time) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, _ os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Chtimes(name, at, at)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A damaged database is kept aside, said, and made again from the photos: the same
// files come of it.
func TestDamagedDatabaseIsMadeAgainFromThePhotos(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": halfSize(t, truthPhoto(t, "practice_floor_00")), "b1-r01-t02-floor.jpg": []byte("no photo")})
	written(t, pipeline.RunOptions{Dir: dir})
	files := filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit))
	db := filepath.Join(dir, pipeline.ResultsDir, "rowlight.db")
	data, err := os.ReadFile(db)
	if err != nil {
		t.Fatal(err)
	}
	bad := bytes.Clone(data)
	for i := 200; i < len(bad); i += 7 {
		bad[i] ^= 0x5a
	}
	if err := os.WriteFile(db, bad, 0o644); err != nil {
		t.Fatal(err)
	}
	res := written(t, pipeline.RunOptions{Dir: dir})
	if res.Measured != 2 || len(res.Warnings) == 0 || !strings.Contains(res.Warnings[0], "is damaged: it was kept as rowlight.db.kept-1") {
		t.Errorf("measured %d, warnings %q; want 2 measured and the damage said", res.Measured, res.Warnings)
	}
	if kept, err := os.ReadFile(db + ".kept-1"); err != nil || !bytes.Equal(kept, bad) {
		t.Error("the damaged file was not kept as it was: ", err)
	}
	sameFiles(t, "after the damage", files, filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit)))
	if res := written(t, pipeline.RunOptions{Dir: dir}); res.Reused != 2 || len(res.Warnings) != 0 {
		t.Errorf("the run after that keeps %d and says %q", res.Reused, res.Warnings)
	}
}
