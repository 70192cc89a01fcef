// Package wholefile writes files so that their names never show half of them.
package wholefile

import (
	"bufio"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// filePerm is what a file made the plain way gets with the usual umask.
const filePerm = 0o644

// Write writes a file whole or not at all: under another name in the same folder,
// synced, then renamed. On any error the old file, if there was one, stays as it was and
// nothing is left behind. What a writer leaves that is killed before it is done, the next
// one of the same file takes; two at once follow each other.
func Write(path string, write func(io.Writer) error) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("wholefile: write %q: %w", path, err)
		}
	}()
	f, err := open(path)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
			f.Close() // a second close only errs; the first error is the one to tell
		}
	}()
	b := bufio.NewWriter(f)
	if err = write(b); err != nil {
		return err
	}
	if err = b.Flush(); err != nil {
		return err
	}
	if err = f.Chmod(filePerm); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	return place(f, path)
}

// longestName is the longest name of a file that the usual file systems take, bytes.
const longestName = 255

// halfPath is the file's path while it is being written.
func halfPath(path string) string {
	dir, name := filepath.Split(path)
	half := ".half-" + name
	if len(half) > longestName {
		half = fmt.Sprintf(".half-%x", sha256.Sum256([]byte(name)))
	}
	return filepath.Join(dir, half)
}
