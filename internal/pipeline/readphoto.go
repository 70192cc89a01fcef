package pipeline

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"rowlight/internal/crew"
)

// maxFileBytes: a 100-megapixel JPEG at the best quality stays below; larger
// files are no photos and are not read into memory.
const maxFileBytes = 200 << 20

const readMend = "check that the photo is there, is no larger than 200 MB and that you may read it"

// errNotPlain is a pipe, a device, a folder: reading some of them never ends.
var errNotPlain = errors.New("it is no ordinary file")

// read returns the bytes of a photo by its path within the orchard folder; its rooms may
// have them back.
func (r *runner) read(path string) ([]byte, error) {
	return readInto(r.rooms, filepath.Join(r.opt.Dir, filepath.FromSlash(path)))
}

func readPhoto(name string) ([]byte, error) { return readInto(nil, name) }

// readInto reads a photo into spare memory where there is some.
func readInto(rooms crew.Spares, name string) ([]byte, error) {
	f, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0) // opening a pipe would wait for its other end
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errNotPlain
	}
	// In one piece: growing step by step would hold the photo twice.
	data := bytes.NewBuffer(rooms.Room(int(min(info.Size(), maxFileBytes)) + bytes.MinRead)[:0])
	_, err = data.ReadFrom(io.LimitReader(f, maxFileBytes+1))
	if err == nil && data.Len() > maxFileBytes {
		err = fmt.Errorf("over %d MB", maxFileBytes>>20)
	}
	return data.Bytes(), err
}

// hashOf names a photo's content.
func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// readReason is the cause without the path, which the record names already.
func readReason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Sprintf("the file cannot be read (%v)", err)
}
