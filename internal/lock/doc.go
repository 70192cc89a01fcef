// Package lock locks open files. The kernel lets go of a lock when its holder ends,
// however it ends, so a program that was killed blocks nobody. File systems that know no
// locks (some network and card ones), and systems other than Unix, let everybody through.
package lock

import "errors"

// ErrHeld is that another holds the file.
var ErrHeld = errors.New("another program holds the file")
