package main

import (
	"strings"
	"testing"
)

// The statuses are README.md's; 130 is with the tests of stopped runs.
func TestExitStatuses(t *testing.T) {
	good, overcast := "../../testdata/rendered/practice_side_02.jpg", "../../testdata/rendered/practice_floor_01.jpg"
	for _, tc := range []struct {
		args string
		want int
		says string // on stderr
	}{
		{"check " + good, exitOK, ""},
		{"help", exitOK, ""},
		{"check " + overcast, exitSomeRefused, ""},
		{"check " + good + " nothing.jpg", exitSomeRefused, ""},
		{"assess no-such-folder", exitCannotRun, "rowlight init"},
		{"assess", exitUsage, "one orchard folder"},
		{"prune", exitUsage, "no command"},
		{"check --nonsense " + good, exitUsage, "nonsense"},
		{"check --kind roof " + good, exitUsage, "floor, side"},
		{"boards --numbers 25 .", exitUsage, "0 to 24"},
	} {
		code, _, stderr := inProcess(t, strings.Fields(tc.args)...)
		if code != tc.want || !strings.Contains(stderr, tc.says) {
			t.Errorf("rowlight %s: exit status %d, want %d; stderr %q, want %q in it", tc.args, code, tc.want, stderr, tc.says)
		}
	}
}

// Every command's help shows how it is called.
func TestEveryHelpHasAnExample(t *testing.T) {
	for _, c := range newApp(nil, nil, nil).Commands {
		code, stdout, _ := inProcess(t, c.Name, "--help")
		if _, example, ok := strings.Cut(stdout, "Example"); code != exitOK || !ok || !strings.Contains(example, "rowlight "+c.Name) {
			t.Errorf("rowlight %s --help: exit status %d, example of the command: %v", c.Name, code, ok)
		}
	}
}
