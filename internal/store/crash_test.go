package store

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// childEnv tells the test binary to be the child that is killed, and where it
// writes.
const childEnv = "ROWLIGHT_STORE_TEST_CHILD"

// TestKilledInTheMiddleOfWrites kills -9 a process that does nothing but write, and
// demands a sound file with every record whose Put had returned.
func TestKilledInTheMiddleOfWrites(t *testing.T) {
	if path := os.Getenv(childEnv); path != "" {
		writeForEver(t, path)
	}
	path := filepath.Join(t.TempDir(), FileName)
	kept := 0
	for round := range 4 {
		last := kept + 5 + 7*round
		if got := killAfter(t, path, kept, last); got < last {
			t.Fatalf("the child wrote %d records, %d wanted", got, last)
		} else {
			kept = got
		}
		s := mustOpen(t, path)
		if s.Note != "" {
			t.Fatalf("round %d: the file was not sound: %s", round, s.Note)
		}
		for n := range kept {
			if _, ok := get(t, s, record(n)); !ok {
				t.Fatalf("round %d: record %d of %d is gone", round, n, kept)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// writeForEver is the child: it puts records from a number on, and says each when
// its Put has returned.
func writeForEver(t *testing.T, path string) {
	s := mustOpen(t, path)
	from, err := strconv.Atoi(os.Getenv(childEnv + "_FROM"))
	if err != nil {
		t.Fatal(err)
	}
	for n := from; ; n++ {
		mustPut(t, s, record(n))
		fmt.Println("kept", n)
	}
}

// killAfter runs the child until it has said a record, kills it, and returns one
// more than the last it said.
func killAfter(t *testing.T, path string, from, until int) int {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run=^TestKilledInTheMiddleOfWrites$")
	cmd.Env = append(os.Environ(), childEnv+"="+path, fmt.Sprintf("%s_FROM=%d", childEnv, from))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	said := from
	for lines := bufio.NewScanner(out); lines.Scan(); {
		var n int
		if _, err := fmt.Sscanf(lines.Text(), "kept %d", &n); err == nil {
			said = n + 1
		}
		if said == until {
			if err := cmd.Process.Kill(); err != nil { // SIGKILL
				t.Fatal(err)
			}
		}
	}
	_ = cmd.Wait() // killed, as it should be
	return said
}
