package store

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// filled makes a closed database of many pages and returns its path.
func filled(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), FileName)
	s := mustOpen(t, path)
	tx, err := s.db.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for n := range 200 {
		if _, err := tx.ExecContext(t.Context(), `INSERT INTO record VALUES (?, ?, 's1', 'v1', ?)`,
			record(n).Path, record(n).SHA256, strings.Repeat("y", 500)); err != nil {
			t.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestDamagedFileIsKeptAside(t *testing.T) {
	for name, damage := range map[string]func([]byte) []byte{
		"text":      func([]byte) []byte { return []byte(strings.Repeat("this is no database\n", 50)) },
		"cut":       func(b []byte) []byte { return b[:len(b)/2] },
		"cut short": func(b []byte) []byte { return b[:40] },
		"noise":     func(b []byte) []byte { copy(b[5000:], bytes.Repeat([]byte{0xa5}, 40000)); return b },
	} {
		t.Run(name, func(t *testing.T) {
			path := filled(t)
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			data = damage(data)
			if err := os.WriteFile(path, data, 0o644); err != nil {
				t.Fatal(err)
			}
			s := mustOpen(t, path)
			if !strings.Contains(s.Note, "rowlight.db.kept-1") || !strings.Contains(s.Note, "is damaged") {
				t.Errorf("note %q, want that it is damaged and where it is kept", s.Note)
			}
			kept, err := os.ReadFile(path + ".kept-1")
			if err != nil || !bytes.Equal(kept, data) {
				t.Errorf("the damaged file was not kept as it was: %v", err)
			}
			mustPut(t, s, record(1))
			if _, ok := get(t, s, record(1)); !ok {
				t.Error("the new file does not keep records")
			}
		})
	}
}

func TestJournalGoesAsideWithItsFile(t *testing.T) {
	path := filled(t)
	for _, p := range []string{path, path + "-journal"} {
		if err := os.WriteFile(p, []byte(strings.Repeat("noise ", 300)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if s := mustOpen(t, path); s.Note == "" {
		t.Fatal("no note")
	}
	if !fileExists(path+".kept-1") || fileExists(path+"-journal") {
		t.Error("the journal was left beside the new file")
	}
}

func TestMarksOfTheFile(t *testing.T) {
	for _, c := range []struct {
		mark       string
		note, fail string
	}{
		{"PRAGMA user_version = 0", "older Rowlight", ""},
		{"PRAGMA application_id = 7", "not Rowlight's", ""},
		{fmt.Sprintf("PRAGMA user_version = %d", schemaVersion+1), "", "newer Rowlight"},
	} {
		path := filepath.Join(t.TempDir(), FileName)
		s := mustOpen(t, path)
		if _, err := s.db.ExecContext(t.Context(), c.mark); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s, err := Open(t.Context(), path)
		if c.fail != "" {
			if err == nil || !strings.Contains(err.Error(), c.fail) {
				t.Errorf("%s: error %v, want %q", c.mark, err, c.fail)
			}
			continue
		}
		if err != nil || !strings.Contains(s.Note, c.note) {
			t.Errorf("%s: error %v, want the note %q", c.mark, err, c.note)
			continue
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

func TestUnreadableRecordCountsAsNone(t *testing.T) {
	path := filled(t) // its bodies are no JSON
	if rec, ok := get(t, mustOpen(t, path), record(3)); ok {
		t.Errorf("got %+v from a body that is no record", rec)
	}
}

func TestFolderThatIsNotThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "gone", FileName)
	_, err := Open(t.Context(), path)
	if err == nil || !strings.Contains(err.Error(), "check that its folder is there") || !strings.Contains(err.Error(), path) {
		t.Errorf("error %v, want one that names the file and the mend", err)
	}
}
