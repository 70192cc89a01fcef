//go:build !unix

package lock

import "os"

// Try does nothing.
func Try(*os.File) error { return nil }

// Wait does nothing.
func Wait(*os.File) error { return nil }
