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
)

// maxFileBytes: a 100-megapixel JPEG at the best quality stays below; larger
// files are no photos and are not read into memory.
const maxFileBytes = 200 << 20

const readMend = "check that the photo is there, is no larger than 200 MB and that you may read it"

// errNotPlain is a pipe, a device, a folder: reading some of them never ends.
var errNotPlain = errors.New("it is no ordinary file")

// read returns the bytes of a photo by its path within the orchard folder, good until
// they are given back.
func (r *runner) read(path string) ([]byte, error) {
	r.mu.Lock()
	var room []byte
	if n := len(r.rooms); n > 0 {
		room, r.rooms = r.rooms[n-1], r.rooms[:n-1]
	}
	r.mu.Unlock()
	return readInto(room, filepath.Join(r.opt.Dir, filepath.FromSlash(path)))
}

// mostRoom bytes of a photo's memory are kept for the next; larger ones are rare.
const mostRoom = 16 << 20

// giveBack says that a photo's bytes are done with.
func (r *runner) giveBack(data []byte) {
	if cap(data) == 0 || cap(data) > mostRoom {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.rooms = append(r.rooms, data[:0])
}

func readPhoto(name string) ([]byte, error) { return readInto(nil, name) }

// readInto reads a photo into room, where that is large enough, or into memory of its own.
func readInto(room []byte, name string) ([]byte, error) {
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
	if size := int(min(info.Size(), maxFileBytes)); cap(room) < size+bytes.MinRead {
		room = make([]byte, 0, size+bytes.MinRead)
	}
	data := bytes.NewBuffer(room[:0])
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
