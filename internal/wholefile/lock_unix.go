//go:build unix

package wholefile

import (
	"errors"
	"os"
	"syscall"

	"rowlight/internal/lock"
)

// open opens the half of a file, empty, and locks it: a half that is not locked is one
// whose writer was killed. Where the file system knows no locks, two who write one file
// at once may spoil it.
func open(path string) (*os.File, error) {
	for {
		f, err := os.OpenFile(halfPath(path), os.O_RDWR|os.O_CREATE|syscall.O_NOFOLLOW, filePerm)
		if err != nil {
			return nil, err
		}
		if err := lock.Wait(f); err != nil {
			return nil, errors.Join(err, f.Close())
		}
		if !stillThere(f) { // its last holder was done with it while we waited
			if err := f.Close(); err != nil {
				return nil, err
			}
			continue
		}
		if err := f.Truncate(0); err != nil {
			return nil, errors.Join(err, f.Close())
		}
		return f, nil
	}
}

// stillThere says whether the file's name still leads to it.
func stillThere(f *os.File) bool {
	named, err := os.Lstat(f.Name())
	if err != nil {
		return false
	}
	held, err := f.Stat()
	return err == nil && os.SameFile(named, held)
}

// place gives the file its name before the lock goes: else the next writer would empty it.
func place(f *os.File, path string) error {
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	f.Close() // it is synced: this can lose nothing
	return nil
}
