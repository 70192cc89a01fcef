package pipeline_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"gocv.io/x/gocv"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// workerEnv makes the test binary a worker of a run, one that falls over photos with a
// fault in their bytes.
const workerEnv = "ROWLIGHT_TEST_WORKER"

// faultMark goes before a fault's name at the end of a photo's bytes, where no decoder
// reads.
const faultMark = "\nfault of this worker: "

func serveFaulty() {
	if err := pipeline.ServeWorkerAfter(fallOver, os.Stdin, os.Stdout, "test"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// fallOver brings the process down in the way that a photo's bytes ask for.
func fallOver(photo []byte) {
	_, fault, _ := bytes.Cut(photo, []byte(faultMark))
	switch string(fault) {
	case "exception": // OpenCV throws on an empty picture, and nobody catches it
		from, to := gocv.NewMat(), gocv.NewMat()
		defer from.Close()
		defer to.Close()
		gocv.CvtColor(from, &to, gocv.ColorBGRToGray)
	case "segfault": // C++ follows a pointer to nothing
		none := gocv.Mat{}
		none.Rows()
	case "killed": // as the kernel does where memory runs out
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	case "hang":
		select {}
	}
}

func withFault(photo []byte, fault string) []byte {
	return append(bytes.Clone(photo), faultMark+fault...)
}

func workers(t *testing.T) []string {
	t.Helper()
	t.Setenv(workerEnv, "1")
	return []string{os.Args[0], os.Args[0]}
}

// byName are a run's records by their photos' names, and what was measured anew; emit
// may be nil.
func byName(t *testing.T, opt pipeline.RunOptions, emit func(pipeline.Event)) (map[string]orchard.Record, *pipeline.Result) {
	t.Helper()
	o, err := orchard.Load(opt.Dir)
	if err != nil {
		t.Fatal(err)
	}
	opt.Orchard, opt.Visit, opt.Version = o, visit, "test"
	res, err := pipeline.Run(t.Context(), opt, emit)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]orchard.Record{}
	for _, r := range res.Visit.Photos {
		out[filepath.Base(r.Path)] = r
	}
	return out, res
}

// Crashes inside OpenCV and a kill for want of memory cost one photo each, with a
// sentence; the others give what they give without them.
func TestACrashCostsOnePhoto(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	good := truthPhoto(t, "practice_c_floor_10")
	faults := map[string]struct{ file, says, mend string }{
		"exception":          {"b1-r01-t02-floor.jpg", "crashed (OpenCV(", "--retry"},
		"segfault":           {"b1-r01-t03-floor.jpg", "crashed (SIGSEGV, twice)", "--retry"},
		"killed":             {"b1-r01-t04-floor.jpg", "not enough memory", "--workers 1"},
		"segfault in a look": {"IMG_0001.jpg", "crashed (SIGSEGV, twice)", "--retry"},
	}
	photos := map[string][]byte{"b1-r01-t01-floor.jpg": good, "b1-r01-t05-floor.jpg": []byte("no photo"), "b1-r02-t01-floor.jpg": good}
	for fault, f := range faults {
		fault, _, _ = strings.Cut(fault, " ")
		photos[f.file] = withFault(good, fault)
	}
	dir := newOrchard(t, photos)
	opt := pipeline.RunOptions{Dir: dir, Worker: workers(t), Workers: 2}
	got, res := byName(t, opt, nil)
	if res.Measured != len(photos) {
		t.Errorf("%d photos brought to an end, want %d", res.Measured, len(photos))
	}
	for fault, f := range faults {
		r := got[f.file]
		if r.Status != orchard.Failed || !r.GaveUp || !strings.Contains(r.Reason, f.says) || !strings.Contains(r.Mend, f.mend) {
			t.Errorf("%s: %s, given up: %v, %q: %q; want it failed with %q and %q", fault, r.Status, r.GaveUp, r.Reason, r.Mend, f.says, f.mend)
		}
	}
	alone, _ := byName(t, pipeline.RunOptions{Dir: newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": good})}, nil)
	for _, name := range []string{"b1-r01-t01-floor.jpg", "b1-r02-t01-floor.jpg"} {
		rec, want := got[name], alone["b1-r01-t01-floor.jpg"]
		share := rec.Find(orchard.SunlitFraction)
		if v := *want.Find(orchard.SunlitFraction).Value; share == nil || share.Value == nil || *share.Value != v {
			t.Errorf("%s: %s, share %v; want %v, as where nothing falls", name, rec.Status, share, v)
		}
	}
	if r := got["b1-r01-t05-floor.jpg"]; r.Status != orchard.Failed || r.GaveUp {
		t.Errorf("a file that is no photo is %s, given up: %v; want it failed for itself", r.Status, r.GaveUp)
	}
	t.Run("is kept and not tried again", func(t *testing.T) {
		if _, res := byName(t, opt, nil); res.Measured != 0 || res.Reused != len(photos) {
			t.Errorf("measured %d, kept %d; want 0 and %d", res.Measured, res.Reused, len(photos))
		}
	})
	t.Run("until asked", func(t *testing.T) {
		opt := opt
		opt.Retry, opt.Worker = true, nil // in this process, which does not mind the marks
		got, res := byName(t, opt, nil)
		if res.Measured != len(faults) {
			t.Errorf("measured %d, want the %d that were given up", res.Measured, len(faults))
		}
		if r := got["b1-r01-t03-floor.jpg"]; r.Status != orchard.Measured || r.GaveUp {
			t.Errorf("after the mend: %s, given up: %v", r.Status, r.GaveUp)
		}
	})
}

func TestAHangCostsItsTimeLimit(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for a time limit")
	}
	const limit = 15 * time.Second // a loaded machine takes seconds to start a process
	dir := newOrchard(t, map[string][]byte{
		"b1-r01-t01-floor.jpg": withFault(nil, "hang"), "b1-r01-t02-floor.jpg": []byte("no photo"), "b1-r01-t03-floor.jpg": []byte("nor this"),
	})
	got, _ := byName(t, pipeline.RunOptions{Dir: dir, Worker: workers(t), PhotoLimit: limit, Workers: 2}, nil)
	if r := got["b1-r01-t01-floor.jpg"]; r.Status != orchard.Failed || !r.GaveUp || !strings.Contains(r.Reason, "15s") || !strings.Contains(r.Mend, "--photo-limit") {
		t.Errorf("%s: %q: %q; want it failed after 15s, with what to do", r.Status, r.Reason, r.Mend)
	}
	for _, name := range []string{"b1-r01-t02-floor.jpg", "b1-r01-t03-floor.jpg"} {
		if r := got[name]; r.Status != orchard.Failed || r.GaveUp {
			t.Errorf("%s beside the hang: %s, given up: %v: %q", name, r.Status, r.GaveUp, r.Reason)
		}
	}
}
