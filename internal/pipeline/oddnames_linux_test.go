package pipeline_test

import (
	"errors"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// Names as cameras, phones and people make them: photos are placed, measured and drawn
// under each of them, and found again by the next run.
func TestOddNamesAreMeasuredAndFoundAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("measures some photos")
	}
	const start, end = "b1-r01-t01-floor", ".jpg"
	names := []string{
		start + " " + strings.Repeat("x", 255-len(start)-1-len(end)) + end,     // as long as a name can be
		start + "-" + strings.Repeat("樹", (255-len(start)-1-len(end))/3) + end, // the same in three bytes a letter
		start + "-Bl\u00e4tter" + end, start + "-Bla\u0308tter" + end,          // one word, composed and not
		start + " 2 of 3 " + end, start + "-a\nb" + end, start + `-"'<&>;,` + end, "  " + start + end, "-" + start + end,
	}
	photos := map[string][]byte{}
	floor := halfSize(t, truthPhoto(t, "practice_floor_00"))
	for i, name := range names {
		photos[name] = append(slices.Clone(floor), byte('a'+i))
	}
	dir := newOrchard(t, photos)
	if err := os.WriteFile(filepath.Join(dir, "photos", visit, start+"-\xff\xfe"+end), floor, 0o644); err != nil {
		t.Fatal(err)
	}
	first := written(t, pipeline.RunOptions{Dir: dir, Worker: workers(t)})
	if first.Passed != 1 || !strings.Contains(first.Warnings[0], "not in UTF-8") {
		t.Errorf("%d passed over, %q; want the one in no letters, named", first.Passed, first.Warnings)
	}
	files := filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit))
	if len(first.Visit.Photos) != len(names) {
		t.Errorf("%d records of %d photos", len(first.Visit.Photos), len(names))
	}
	overlays := map[string]bool{}
	for _, r := range first.Visit.Photos {
		if r.Status == orchard.Unplaced { // a name may say nothing, but not stop anything
			t.Logf("%q: %s", r.Path, r.Reason)
			continue
		}
		if r.Status != orchard.Measured || files[r.Overlay] == nil || overlays[r.Overlay] {
			t.Errorf("%q: %s (%s), overlay %q there: %v", r.Path, r.Status, r.Reason, r.Overlay, files[r.Overlay] != nil)
		}
		overlays[r.Overlay] = true
	}
	if len(overlays) < 6 { // a line break, or a space or a dash before the tree, makes no name of a tree
		t.Errorf("only %d of %d names were understood", len(overlays), len(names))
	}
	again := written(t, pipeline.RunOptions{Dir: dir})
	if again.Measured != 0 || again.Reused != len(names) {
		t.Errorf("the next run measures %d and keeps %d of %d", again.Measured, again.Reused, len(names))
	}
	sameFiles(t, "the next run", files, filesBelow(t, filepath.Join(dir, pipeline.ResultsDir, visit)))
}

// within fails a test whose work has not ended after a time.
func within(t *testing.T, limit time.Duration, do func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		do()
	}()
	select {
	case <-done:
	case <-time.After(limit):
		t.Fatal("it hangs")
	}
}

// Links that lead round and files that never end are named and passed over.
func TestLinksLoopsPipesAndDevices(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": []byte("no photo")})
	at := filepath.Join(dir, "photos", visit)
	name := func(s string) string { return filepath.Join(at, s) }
	l, err := net.Listen("unix", name("b1-r01-t05-floor.jpg"))
	if err != nil {
		t.Skip("SKIPPED: no socket can be made here: ", err)
	}
	defer l.Close()
	err = errors.Join(
		os.Symlink("b1-r01-t01-floor.jpg", name("b1-r01-t02-floor.jpg")), // a photo by another name
		os.Symlink("b1-r01-t03-floor.jpg", name("b1-r01-t03-floor.jpg")), // itself
		os.Symlink("gone.jpg", name("b1-r01-t06-floor.jpg")),
		os.Symlink("/dev/zero", name("b1-r02-t01-floor.jpg")),
		os.Symlink("/dev/tty", name("b1-r02-t02-floor.jpg")),
		os.Symlink("..", name("up")), os.Symlink(".", name("here")),
		syscall.Mkfifo(name("b1-r01-t04-floor.jpg"), 0o644),
	)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]orchard.Record
	var res *pipeline.Result
	within(t, time.Minute, func() { got, res = runTold(t, dir, nil) })
	if len(got) != 2 || got["b1-r01-t01-floor.jpg"].SHA256 != got["b1-r01-t02-floor.jpg"].SHA256 {
		t.Errorf("%d photos, want the one and its link: %v", len(got), got)
	}
	said := strings.Join(res.Warnings, "\n")
	for _, odd := range []string{"t03-floor.jpg", "t04-floor.jpg", "t05-floor.jpg", "t06-floor.jpg", "r02-t01-floor.jpg", "r02-t02-floor.jpg", "/up", "/here"} {
		if !strings.Contains(said, odd+": ") {
			t.Errorf("nothing said of %s in\n%s", odd, said)
		}
	}
	if res.Passed != 8 {
		t.Errorf("%d passed over, want 8", res.Passed)
	}
	for _, odd := range []string{"b1-r01-t04-floor.jpg", "b1-r01-t05-floor.jpg", "b1-r02-t01-floor.jpg", "here"} { // as rowlight check is given them
		within(t, time.Minute, func() {
			if out := pipeline.MeasureFile(name(odd), orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings()}); out.Status != orchard.Failed || out.Mend == "" {
				t.Errorf("%s: %s, %q", odd, out.Status, out.Reason)
			}
		})
	}
}
