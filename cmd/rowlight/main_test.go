package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"rowlight": main,
	})
}

// run is runWith without workers: photos are measured in this process.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	return runWith(ctx, args, nil, stdout, stderr)
}

// The scripts run the real main; RENDERED names the photos with truth.
func TestScripts(t *testing.T) {
	rendered, err := filepath.Abs("../../testdata/rendered")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("RENDERED", rendered)
			return nil
		},
	})
}

func TestInterruptGives130AndKeepsWhatWasDone(t *testing.T) {
	dir := t.TempDir()
	if code := run(context.Background(), []string{"rowlight", "init", dir}, os.Stderr, os.Stderr); code != exitOK {
		t.Fatalf("init: exit %d", code)
	}
	at := filepath.Join(dir, "photos", "2026-08-14")
	if err := os.MkdirAll(at, 0o755); err != nil {
		t.Fatal(err)
	}
	photo, err := os.ReadFile("../../testdata/rendered/practice_floor_00.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(at, "b1-r01-t01-floor.jpg"), photo, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if code := run(ctx, []string{"rowlight", "assess", dir}, os.Stderr, os.Stderr); code != exitInterrupted {
		t.Errorf("assess with its context ended: exit %d, want %d", code, exitInterrupted)
	}
	if _, err := os.Stat(filepath.Join(dir, "results", "2026-08-14", "report.html")); err == nil {
		t.Error("a run that was stopped left a report behind")
	}
	if code := run(context.Background(), []string{"rowlight", "assess", dir}, os.Stderr, os.Stderr); code != exitOK {
		t.Errorf("assess run on after the stop: exit %d, want %d", code, exitOK)
	}
}
