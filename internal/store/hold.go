package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"rowlight/internal/lock"
)

// holdFile lies beside the database; who holds its lock stands in it.
const holdFile = "rowlight.lock"

// Hold is a run's claim on a results folder: two runs at once would measure the
// same photos twice and write each other's lists.
type Hold struct{ f *os.File }

// HeldError says who holds the folder.
type HeldError struct{ Who string }

func (e *HeldError) Error() string {
	return fmt.Sprintf("another Rowlight is at work in this folder (%s): wait until it is done", e.Who)
}

// holdWordsMost bounds what is read of another's claim.
const holdWordsMost = 200

// Claim takes hold of a results folder; the folder must be there. It returns a
// *HeldError where another process holds it. The kernel lets go when the process
// ends, however it ends, so a run that was killed blocks nobody.
func Claim(dir string) (*Hold, error) {
	name := filepath.Join(dir, holdFile)
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, fmt.Errorf("store: results cannot be written: %w: check that you may write in the orchard folder", err)
	}
	err = lock.Try(f)
	if errors.Is(err, lock.ErrHeld) {
		held := &HeldError{holder(f)}
		return nil, errors.Join(held, f.Close())
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("store: hold %s: %w", name, err), f.Close())
	}
	host, err := os.Hostname()
	if err != nil {
		host = "this machine" // the process number says enough there
	}
	words := fmt.Sprintf("process %d on %s since %s\n", os.Getpid(), host, time.Now().Format("2006-01-02 15:04:05"))
	if err := errors.Join(f.Truncate(0), writeAt(f, words)); err != nil {
		return nil, errors.Join(fmt.Errorf("store: results cannot be written: %w: free some room on the disk", err), f.Close())
	}
	return &Hold{f}, nil
}

func writeAt(f *os.File, s string) error {
	_, err := f.WriteAt([]byte(s), 0)
	return err
}

// holder reads who wrote the claim, without what a terminal would act on.
func holder(f *os.File) string {
	b, err := io.ReadAll(io.NewSectionReader(f, 0, holdWordsMost))
	who := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, string(b))
	if err != nil || who == "" {
		return "it does not say who"
	}
	return who
}

// Release lets go. The file stays: removing it could take it from under a third
// run that has it open.
func (h *Hold) Release() error { return h.f.Close() }
