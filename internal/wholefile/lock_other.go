//go:build !unix

package wholefile

import (
	"os"
	"path/filepath"
)

// open makes a half of its own for each writer: without the locks of Unix nobody could
// tell another's from one left behind.
func open(path string) (*os.File, error) {
	return os.CreateTemp(filepath.Dir(path), ".half-*")
}

// place gives the file its name; some systems rename no open file.
func place(f *os.File, path string) error {
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
