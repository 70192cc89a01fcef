//go:build unix

package lock

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A file is held by one open file at a time, and free again once that is closed.
func TestOneHolderAtATime(t *testing.T) {
	path := filepath.Join(t.TempDir(), "held")
	var f [2]*os.File
	for i := range f {
		var err error
		if f[i], err = os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644); err != nil {
			t.Fatal(err)
		}
		defer f[i].Close()
	}
	if err := Wait(f[0]); err != nil {
		t.Fatal(err)
	}
	if err := Try(f[1]); !errors.Is(err, ErrHeld) {
		t.Errorf("a held file: %v", err)
	}
	if err := f[0].Close(); err != nil {
		t.Fatal(err)
	}
	if err := Try(f[1]); err != nil {
		t.Errorf("a free file: %v", err)
	}
}
