package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A shell that starts another which holds 64 MB: the child's memory and processor time
// are the command's too.
func TestCommandCountsItsChildren(t *testing.T) {
	const hold = `v=$(head -c 67108864 /dev/zero | tr '\0' x); i=0; while [ $i -lt 100000 ]; do i=$((i+1)); done; sleep 0.3; echo ${#v}`
	s, said, err := command(t.Context(), []int{0}, "sh", "-c", `sh -c "$1"; true`, "sh", hold)
	if err != nil {
		t.Fatal(err)
	}
	if strings.TrimSpace(said) != "67108864" {
		t.Fatalf("it said %q", said)
	}
	if s.PeakMiB < 64 || s.Wall < 300*time.Millisecond || s.CPU <= 0 {
		t.Errorf("a child with 64 MiB that slept 0.3 s counts %.0f MiB, %v, %v of processor time", s.PeakMiB, s.Wall, s.CPU)
	}
}

// Two processes with 32 MB each at the same time are 64 MB.
func TestMemoryOfATreeIsASum(t *testing.T) {
	const hold = `v=$(head -c 33554432 /dev/zero | tr '\0' x); sleep 1; echo ${#v}`
	s, _, err := command(t.Context(), []int{0}, "sh", "-c", `sh -c "$1" & sh -c "$1"; wait`, "sh", hold)
	if err != nil {
		t.Fatal(err)
	}
	if s.PeakMiB < 64 {
		t.Errorf("two children with 32 MiB each count %.0f MiB", s.PeakMiB)
	}
}

func TestCommandTellsWhatWentWrong(t *testing.T) {
	_, _, err := command(t.Context(), []int{0, 3}, "sh", "-c", "echo the disk is gone >&2; exit 1")
	if err == nil || !strings.Contains(err.Error(), "the disk is gone") || !strings.Contains(err.Error(), "status 1") {
		t.Errorf("got %v", err)
	}
	if _, _, err := command(t.Context(), []int{0, 3}, "sh", "-c", "exit 3"); err != nil {
		t.Errorf("a status that is well is an error: %v", err)
	}
	if _, _, err := command(t.Context(), []int{0}, "no-such-program-anywhere"); err == nil {
		t.Error("a program that is not there ran")
	}
}

// The script does the work it is held up for: a row and an overlay a photo.
func TestPlainScriptWorks(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import cv2.aruco, skimage").Run(); err != nil {
		t.Skip("SKIPPED: no Python with OpenCV and scikit-image (apt-get install python3-opencv python3-skimage): the bench's script was not run")
	}
	dir := t.TempDir()
	var files []string
	for _, stem := range []string{"practice_floor_01", "practice_side_00", "practice_alley_01"} {
		files = append(files, filepath.Join("..", "..", "testdata", "rendered", stem+".jpg"))
	}
	b := bench{options: options{dir: dir, python: python, script: filepath.Join("..", "..", "testdata", "bench", "plain.py"), workers: 1}}
	s, line, err := b.runScript(t.Context(), files, "--out", filepath.Join(dir, "plain"))
	if err != nil || line.good != len(files) || s.Photos != len(files) {
		t.Fatalf("%+v, %+v, %v", s, line, err)
	}
	table, err := os.ReadFile(filepath.Join(dir, "plain", "numbers.csv"))
	if err != nil || strings.Count(string(table), "\n") != len(files)+1 {
		t.Errorf("%v; the table is\n%s", err, table)
	}
	if pictures, _ := filepath.Glob(filepath.Join(dir, "plain", "overlays", "*.jpg")); len(pictures) != len(files) {
		t.Errorf("%d overlays of %d photos", len(pictures), len(files))
	}
	if _, err := b.decodeOpenCV(t.Context(), files); err != nil {
		t.Error(err)
	}
}
