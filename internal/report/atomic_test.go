package report

import (
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/orchard"
)

// A writer that was killed leaves its file half written under a name of its own; the next
// one takes it away, and no file of anybody else's.
func TestWriteFolderTakesAwayHalfWrittenFiles(t *testing.T) {
	dir := t.TempDir()
	half := []string{".report.html.3293507176.tmp", ".trees.csv.1.tmp"}
	others := []string{".notes.txt.1.tmp", "report.html.old", ".report.html"}
	for _, name := range append(half, others...) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("half"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := WriteFolder(dir, &orchard.VisitResult{}, Options{}); err != nil {
		t.Fatal(err)
	}
	for _, name := range half {
		if _, err := os.Lstat(filepath.Join(dir, name)); !os.IsNotExist(err) {
			t.Errorf("%s is still there (%v)", name, err)
		}
	}
	for _, name := range others {
		if _, err := os.Lstat(filepath.Join(dir, name)); err != nil {
			t.Errorf("%s was taken away: %v", name, err)
		}
	}
}
