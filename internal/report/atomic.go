package report

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// WriteFileAtomic writes a file so that its name never shows half of it: a
// temporary file in the same folder, synced, then renamed over the name. On
// any error the old file, if there was one, stays as it was and nothing is
// left behind.
func WriteFileAtomic(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), halfName(filepath.Base(path)))
	if err != nil {
		return fmt.Errorf("report: write %q: %w", path, err)
	}
	defer func() {
		if err != nil {
			f.Close() // a second close only errs; the first error is the one to tell
			os.Remove(f.Name())
			err = fmt.Errorf("report: write %q: %w", path, err)
		}
	}()
	b := bufio.NewWriter(f)
	if err = write(b); err != nil {
		return err
	}
	if err = b.Flush(); err != nil {
		return err
	}
	return finish(f, path)
}

// filePerm is what a file made the plain way gets with the usual umask;
// CreateTemp's own would hide the report from a folder's other readers.
const filePerm = 0o644

func finish(f *os.File, path string) error {
	if err := f.Chmod(filePerm); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// halfName is the pattern of a file's name while it is being written.
func halfName(name string) string { return "." + name + ".*.tmp" }

// sweepHalf removes what is left of a file whose writer was killed.
func sweepHalf(dir, name string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return fmt.Errorf("report: look for files left half written: %w", err)
	}
	for _, e := range entries {
		if half, _ := filepath.Match(halfName(name), e.Name()); half && e.Type().IsRegular() {
			if err := os.Remove(filepath.Join(dir, e.Name())); err != nil {
				return fmt.Errorf("report: remove file left half written: %w", err)
			}
		}
	}
	return nil
}
