//go:build !unix

package store

// Hold is a run's claim on a results folder. Systems other than Unix have none: the
// database's own lock keeps the records sound there.
type Hold struct{}

// Claim does nothing.
func Claim(string) (*Hold, error) { return &Hold{}, nil }

// Release does nothing.
func (*Hold) Release() error { return nil }
