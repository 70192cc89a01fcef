package pipeline_test

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// runDirEnv makes the test binary run over the folder it names, to be killed.
const runDirEnv = "ROWLIGHT_TEST_RUN_DIR"

func TestMain(m *testing.M) {
	if os.Getenv(workerEnv) != "" {
		serveFaulty()
		return
	}
	if dir := os.Getenv(runDirEnv); dir != "" {
		o, err := orchard.Load(dir)
		if err != nil {
			panic(err)
		}
		_, err = pipeline.Run(context.Background(), pipeline.RunOptions{Dir: dir, Orchard: o, Visit: visit, Version: "test", Workers: 1}, nil)
		if err != nil {
			panic(err)
		}
		return
	}
	os.Exit(m.Run())
}

func sixPhotos(t *testing.T) map[string][]byte {
	return map[string][]byte{
		"b1-r01-t01-floor.jpg": truthPhoto(t, "practice_floor_00"), "b1-r01-t02-floor.jpg": truthPhoto(t, "practice_floor_07"),
		"b1-r01-t03-floor.jpg": truthPhoto(t, "practice_c_floor_10"), "b1-r01-t04-floor.jpg": truthPhoto(t, "practice_floor_04"),
		"b1-r01-t05-floor.jpg": truthPhoto(t, "practice_c_floor_03"), "b1-r01-t06-floor.jpg": truthPhoto(t, "practice_floor_01"),
	}
}

func TestKilledRunGoesOnWithASoundDatabase(t *testing.T) {
	if testing.Short() {
		t.Skip("kills and restarts a process")
	}
	dir := newOrchard(t, sixPhotos(t))
	for _, after := range []time.Duration{300 * time.Millisecond, 900 * time.Millisecond, 1500 * time.Millisecond} {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), runDirEnv+"="+dir)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(after)
		_ = cmd.Process.Kill() // kill -9; the run may have ended already
		_ = cmd.Wait()
		soundDatabase(t, dir)
	}
	whole := runIn(t, newOrchard(t, sixPhotos(t)))
	res := runIn(t, dir)
	if got := res.Measured + res.Reused; got != 6 {
		t.Errorf("%d photos after the kills, want 6", got)
	}
	for i, r := range res.Visit.Photos {
		if want := whole.Visit.Photos[i]; r.Status != want.Status || len(r.Measurements) != len(want.Measurements) {
			t.Errorf("%s: %s after the kills, %s in an undisturbed run", r.Path, r.Status, want.Status)
		}
	}
}

func soundDatabase(t *testing.T, dir string) {
	t.Helper()
	name := filepath.Join(dir, "results", "rowlight.db")
	if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) {
		return // killed before it was made
	}
	db, err := sql.Open("sqlite", name)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var said string
	if err := db.QueryRow("PRAGMA integrity_check").Scan(&said); err != nil || said != "ok" {
		t.Errorf("database after kill -9: %q, %v", said, err)
	}
}

func TestSecondRunMeasuresNothing(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": truthPhoto(t, "practice_floor_00"), "b1-r01-t02-floor.jpg": []byte("no photo")})
	first := runIn(t, dir)
	second := runIn(t, dir)
	if first.Measured != 2 || second.Measured != 0 || second.Reused != 2 {
		t.Errorf("measured %d then %d (kept %d), want 2 then 0 (kept 2)", first.Measured, second.Measured, second.Reused)
	}
	changed := filepath.Join(dir, "photos", visit, "b1-r01-t02-floor.jpg")
	if err := os.WriteFile(changed, truthPhoto(t, "practice_floor_07"), 0o644); err != nil {
		t.Fatal(err)
	}
	if third := runIn(t, dir); third.Measured != 1 || third.Reused != 1 {
		t.Errorf("after one photo changed: measured %d, kept %d, want 1 and 1", third.Measured, third.Reused)
	}
}

func TestFullDiskStopsTheRunWithAClearErrorAndKeepsWhatIsThere(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": truthPhoto(t, "practice_floor_00")})
	results := filepath.Join(dir, "results")
	if err := os.Mkdir(results, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", results, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("SKIPPED: no small file system can be mounted here: %v", err)
	}
	defer syscall.Unmount(results, 0) //nolint:errcheck // the folder goes with the test
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = pipeline.Run(context.Background(), pipeline.RunOptions{Dir: dir, Orchard: o, Visit: visit, Version: "test"}, nil)
	if err == nil {
		t.Fatal("a full disk went by without a word")
	}
	if !strings.Contains(err.Error(), "no space left") && !strings.Contains(err.Error(), "full") {
		t.Errorf("error %q does not say that the disk is full", err)
	}
	soundDatabase(t, dir)
}

func TestTwoBoardsOfOneNumberAreRefused(t *testing.T) {
	// The same photo beside itself: each board's number is there twice.
	p := decoded(t, "practice_floor_00")
	double := p.besideItself()
	out := pipeline.MeasurePhoto(double, orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings()})
	if out.Status != orchard.Refused || !strings.Contains(out.Reason, "17") || out.Mend == "" {
		t.Errorf("status %s, reason %q, mend %q; want it refused, naming board 17", out.Status, out.Reason, out.Mend)
	}
}

func TestBoardUpsideDownIsRefused(t *testing.T) {
	p := decoded(t, "practice_side_02")
	out := pipeline.MeasurePhoto(p.turnedOver(), orchard.Side, pipeline.Env{Set: pipeline.DefaultSettings()})
	if out.Status != orchard.Refused || !strings.Contains(out.Reason, "180 degrees") {
		t.Errorf("status %s, reason %q, mend %q; want it refused as turned by 180 degrees", out.Status, out.Reason, out.Mend)
	}
}

// A floor all in the sun, as warm as before, but exposed as one is in deep shade, 80
// times longer than sunny 16 (common practice) wants: the light was no sun's.
func TestExposureSpeaksAgainstAFloorAllInTheSun(t *testing.T) {
	for _, tc := range []struct {
		sec   float64
		sunny bool
	}{{1.0 / 8000, true}, {1.0 / 100, false}} {
		p := decoded(t, "practice_floor_04")
		f, iso := 1.8, 100.0
		p.Meta.ExposureSec, p.Meta.FNumber, p.Meta.ISO = &tc.sec, &f, &iso
		out := pipeline.MeasurePhoto(p.Photo, orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true})
		if tc.sunny && out.Status != orchard.Measured {
			t.Errorf("1/%.0f s: %s, %s", 1/tc.sec, out.Status, out.Reason)
		}
		if !tc.sunny && (out.Status != orchard.Refused || !strings.Contains(out.Reason, "exposure")) {
			t.Errorf("1/%.0f s: %s, %s; want it refused by its exposure", 1/tc.sec, out.Status, out.Reason)
		}
	}
}

func TestWrongClockIsSaidAndTheSunLeftOut(t *testing.T) {
	for _, tc := range []struct {
		name string
		at   time.Time
		says string
	}{
		{"never set", time.Date(1980, 1, 1, 12, 0, 0, 0, time.UTC), "clock"},
		{"at night", time.Date(2026, 8, 14, 14, 0, 0, 0, time.UTC), "below the horizon"}, // midnight at UTC+10
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := decoded(t, "practice_floor_00")
			p.Meta.TakenAt, p.Meta.HasZone = &tc.at, true
			out := pipeline.MeasurePhoto(p.Photo, orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings()})
			if !strings.Contains(strings.Join(out.Flags, " "), tc.says) {
				t.Errorf("flags %q do not say %q", out.Flags, tc.says)
			}
			for _, m := range out.Measurements {
				if m.Quantity == orchard.SunlitFractionRef && (m.Value != nil || m.Absent == "") {
					t.Error("a share brought to another sun from a clock that is wrong")
				}
			}
		})
	}
}
