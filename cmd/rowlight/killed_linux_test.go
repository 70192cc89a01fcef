package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/disintegration/imaging"
)

// How many kills over how many photos; the suite makes do with few:
//
//	ROWLIGHT_KILLS=50 ROWLIGHT_KILL_PHOTOS=200 go test -run KilledAtAnyMoment -timeout 2h -v ./cmd/rowlight
const (
	killsEnv, killPhotosEnv = "ROWLIGHT_KILLS", "ROWLIGHT_KILL_PHOTOS"
	fewKills, fewPhotos     = 4, 20
)

// lives is how many runs the kills are spread over, each carried to its end.
const lives = 5

func fromEnv(t *testing.T, name string, otherwise int) int {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(name, err)
	}
	return n
}

// manySmall are photos that are measured, refused, failed and unplaced, all different
// and all small: a fifth are floors that give a number, the rest take a moment.
func manySmall(t *testing.T, n int) []badPhoto {
	t.Helper()
	small := func(stem string, wide int) []byte {
		data := rendered(t, stem)
		from, to := segment(t, data, markAPP1)
		plain := asJPEG(t, imaging.Resize(unJPEG(t, data), wide, 0, imaging.Box))
		return append(append(bytes.Clone(plain[:2]), data[from:to]...), plain[2:]...)
	}
	floors := [][]byte{small("practice_floor_00", 640), small("practice_c_floor_10", 640), small("practice_c_floor_03", 640)}
	side := small("practice_side_02", 320)
	out := make([]badPhoto, n)
	for i := range out {
		name, data := fmt.Sprintf("b1-r%02d-t%02d", i/20+1, i%20+1), []byte("no photo")
		switch i % 10 {
		case 0, 5:
			name, data = name+"-floor", floors[i%len(floors)]
		case 1:
			name += "-side" // and no photo
		case 2:
			name, data = fmt.Sprintf("IMG_%04d", i), side
		default:
			name, data = name+"-side", side
		}
		out[i] = badPhoto{name: name + ".jpg", data: fmt.Appendf(bytes.Clone(data), "\nphoto %d", i)}
	}
	return out
}

// A run of many photos is killed at random moments, over and over, and run on. Its
// files are then those of a run that nobody disturbed, byte for byte; the database was
// sound after every kill; no photo that was finished was measured again; no worker was
// left.
func TestKilledAtAnyMomentGivesTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("kills and restarts processes")
	}
	kills, n := fromEnv(t, killsEnv, fewKills), fromEnv(t, killPhotosEnv, fewPhotos)
	small := manySmall(t, n)
	lay := func() string {
		dir := layOrchard(t, small)
		text := strings.Replace(string(mustRead(t, filepath.Join(dir, "orchard.toml"))), "rows = 3\ntrees_per_row = 6", "rows = 20\ntrees_per_row = 20", 1)
		if err := os.WriteFile(filepath.Join(dir, "orchard.toml"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	calm := lay()
	begun := time.Now()
	runOn(t, calm)
	took := time.Since(begun)
	want := resultFiles(t, calm)
	if left := len(want) - 4; left < n/5 {
		t.Fatalf("%d overlays of %d photos: too few were measured", left, n)
	}
	const seed = 6
	t.Logf("%d kills over %d photos, an undisturbed run takes %v, seed %d", kills, n, took, seed)
	apart := took / time.Duration(max(2, kills/lives)) // between two kills, in the mean
	rnd := rand.New(rand.NewPCG(seed, uint64(n)))
	for done := 0; done < kills; {
		dir := lay()
		for done < kills && killWithin(t, dir, time.Duration(rnd.Int64N(int64(2*apart)))) {
			done++
			watchRepeats(t, dir)
		}
		kept := keptPhotos(t, dir)
		said := runOn(t, dir)
		if !strings.Contains(said, fmt.Sprintf("%s measured now, %s kept from before", photos(n-kept), photos(kept))) {
			t.Errorf("with %d of %d photos in the database the run says:\n%s", kept, n, said)
		}
		if again := repeats(t, dir); again != 0 {
			t.Errorf("%d photos were measured again though they were finished", again)
		}
		same(t, want, resultFiles(t, dir))
		t.Logf("after %d kills in all: the last run kept %d photos", done, kept)
	}
}

// runOn runs to the end and returns what it said.
func runOn(t *testing.T, dir string) string {
	t.Helper()
	out, err := killable(dir, 2).CombinedOutput()
	if code := killableStatus(err); code != exitSomeRefused {
		t.Fatalf("exit status %d (%v)\n%s", code, err, out)
	}
	return string(out)
}

// killableStatus is the exit status of a process that has ended, -1 for a signal.
func killableStatus(err error) int {
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		return ended.ExitCode()
	}
	return exitOK
}

// killWithin starts a run and kills it after a while; false where it ended before.
func killWithin(t *testing.T, dir string, after time.Duration) bool {
	t.Helper()
	cmd := killable(dir, 2)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case <-ended:
		return false
	case <-time.After(after):
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Log(err) // it ended just now
	}
	err := <-ended
	noneLeft(t, dir)
	if _, err := os.Stat(filepath.Join(dir, "results", "rowlight.db")); err == nil {
		soundDatabase(t, dir)
	}
	return killableStatus(err) == -1
}

// resultFiles are the files of a visit's results by name; the page has the time in it.
func resultFiles(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	at := filepath.Join(dir, "results", testVisit)
	err := filepath.WalkDir(at, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && d.Name() != "report.html" {
			out[strings.TrimPrefix(name, at)] = mustRead(t, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func same(t *testing.T, want, got map[string][]byte) {
	t.Helper()
	for name, data := range want {
		if !bytes.Equal(got[name], data) {
			t.Errorf("%s differs from an undisturbed run's", name)
		}
	}
	for name := range got {
		if want[name] == nil {
			t.Errorf("%s is left over", name)
		}
	}
}
