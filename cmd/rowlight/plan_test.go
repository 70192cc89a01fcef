package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// planFolder is an orchard folder whose one visit has been measured.
func planFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if code := run(context.Background(), []string{"rowlight", "init", dir}, os.Stderr, os.Stderr); code != exitOK {
		t.Fatalf("init: exit %d", code)
	}
	at := filepath.Join(dir, "photos", "2026-08-14")
	if err := os.MkdirAll(at, 0o755); err != nil {
		t.Fatal(err)
	}
	for from, to := range map[string]string{"practice_side_02.jpg": "b1-r01-t01-side.jpg", "practice_floor_00.jpg": "b1-r01-t01-floor.jpg"} {
		photo, err := os.ReadFile(filepath.Join("../../testdata/rendered", from))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(at, to), photo, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if code := run(context.Background(), []string{"rowlight", "assess", dir}, &bytes.Buffer{}, os.Stderr); code != exitOK {
		t.Fatalf("assess: exit %d", code)
	}
	return dir
}

// wantLight asks for more light than the photo's floor has, so that the tree is due.
func wantLight(t *testing.T, dir string) {
	t.Helper()
	name := filepath.Join(dir, "orchard.toml")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	more := strings.Replace(string(text), "floor_sunlit_fraction = 0.20", "floor_sunlit_fraction = 0.95", 1)
	if err := os.WriteFile(name, []byte(more), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestPlanStoppedGives130AndLeavesNone(t *testing.T) {
	dir := planFolder(t)
	wantLight(t, dir)
	out := filepath.Join(dir, "results", "2026-08-14")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if code := run(ctx, []string{"rowlight", "plan", dir}, &bytes.Buffer{}, os.Stderr); code != exitInterrupted {
		t.Errorf("plan with its context ended: exit %d, want %d", code, exitInterrupted)
	}
	if _, err := os.Stat(filepath.Join(out, "plan.json")); err == nil {
		t.Error("a plan that was stopped left plan.json behind")
	}
	if code := run(context.Background(), []string{"rowlight", "plan", dir}, &bytes.Buffer{}, os.Stderr); code != exitOK {
		t.Errorf("plan run again: exit %d", code)
	}
	for _, name := range []string{"plan.json", "plan.csv", "worksheet.pdf", "plan/b1-r01-t01.jpg"} {
		if info, err := os.Stat(filepath.Join(out, name)); err != nil || info.Size() == 0 {
			t.Errorf("%s is not there: %v", name, err)
		}
	}
}

// A results folder that cannot take the plan: said, exit 1, the photos untouched.
func TestPlanThatCannotBeWritten(t *testing.T) {
	dir := planFolder(t)
	out := filepath.Join(dir, "results", "2026-08-14")
	if err := os.MkdirAll(filepath.Join(out, "plan.csv"), 0o755); err != nil { // a folder in the file's place
		t.Fatal(err)
	}
	var words bytes.Buffer
	if code := run(context.Background(), []string{"rowlight", "plan", dir}, &bytes.Buffer{}, &words); code != exitCannotRun {
		t.Errorf("exit %d, want %d", code, exitCannotRun)
	}
	if !strings.Contains(words.String(), "plan.csv") {
		t.Errorf("it is not said which file: %s", words.String())
	}
}
