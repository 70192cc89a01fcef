//go:build unix

package lock

import (
	"errors"
	"os"
	"syscall"
)

func flock(f *os.File, how int) error {
	err := syscall.Flock(int(f.Fd()), how)
	for errors.Is(err, syscall.EINTR) {
		err = syscall.Flock(int(f.Fd()), how)
	}
	switch {
	case errors.Is(err, syscall.EWOULDBLOCK):
		return ErrHeld
	case errors.Is(err, syscall.ENOLCK), errors.Is(err, syscall.ENOTSUP), errors.Is(err, syscall.ENOSYS):
		return nil
	}
	return err
}

// Try locks an open file, or returns ErrHeld where somebody else holds it.
func Try(f *os.File) error { return flock(f, syscall.LOCK_EX|syscall.LOCK_NB) }

// Wait locks an open file as soon as nobody else holds it.
func Wait(f *os.File) error { return flock(f, syscall.LOCK_EX) }
