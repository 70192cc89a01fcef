package wholefile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func TestWriteKeepsTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "report.html")
	put := func(s string, fail error) error {
		return Write(path, func(w io.Writer) error {
			if _, err := io.WriteString(w, s); err != nil {
				return err
			}
			return fail
		})
	}
	if err := put("old", nil); err != nil {
		t.Fatal(err)
	}
	full := errors.New("no space left")
	if err := put(strings.Repeat("new", 1<<16), full); !errors.Is(err, full) || !strings.Contains(err.Error(), "report.html") {
		t.Errorf("error %v", err)
	}
	if data, _ := os.ReadFile(path); string(data) != "old" {
		t.Errorf("the old file became %q", data)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
	if err := Write(filepath.Join(dir, "no", "x"), func(io.Writer) error { return nil }); err == nil {
		t.Error("a folder that is not there took a file")
	}
}

// What a killed writer left is taken by the next one, however long it was, and so is a
// name that has no room for more letters.
func TestWriteTakesWhatAKilledWriterLeft(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, strings.Repeat("n", longestName))
	if err := os.WriteFile(halfPath(path), []byte(strings.Repeat("half", 99)), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }); err != nil {
		t.Fatal(err)
	}
	if data, err := os.ReadFile(path); string(data) != "new" {
		t.Errorf("%q, %v", data, err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
}

// Writers of one file at once follow each other: the file is always one of theirs, whole.
func TestWritersFollowEachOther(t *testing.T) {
	path := filepath.Join(t.TempDir(), "report.html")
	const long = 1 << 17
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			text := strings.Repeat(string(rune('a'+i)), long)
			for range 8 {
				if err := Write(path, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
					t.Error(err)
				}
				got, err := os.ReadFile(path)
				if err != nil || len(got) != long || strings.Trim(string(got), string(got[:1])) != "" {
					t.Errorf("%d bytes of more than one writer (%v)", len(got), err)
				}
			}
		})
	}
	all.Wait()
}

// A link that lies where the half would be is not written through.
func TestWriteFollowsNoLink(t *testing.T) {
	dir := t.TempDir()
	path, other := filepath.Join(dir, "a.csv"), filepath.Join(dir, "other")
	if err := os.WriteFile(other, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(other, halfPath(path)); err != nil {
		t.Skip(err)
	}
	err := Write(path, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err })
	if data, _ := os.ReadFile(other); string(data) != "mine" {
		t.Errorf("wrote through the link (%v): %q", err, data)
	}
}
