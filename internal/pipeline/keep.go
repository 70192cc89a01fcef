package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"rowlight/internal/orchard"
)

// kept returns what an earlier run found about a record's photos; ok is false where it
// must be found anew.
func (r *runner) kept(ctx context.Context, rec *orchard.Record) (old orchard.Record, ok bool, err error) {
	was, ok, err := r.db.Get(ctx, rec.Path, rec.SHA256, rec.Settings, rec.Version)
	if err != nil || !ok || r.opt.Retry && was.GaveUp || !r.overlayThere(was.Overlay) {
		return old, false, err
	}
	return *was, true, nil
}

// keep puts a record on the disk. What has been measured is kept though the run is
// stopped.
func (r *runner) keep(ctx context.Context, rec *orchard.Record) error {
	return r.db.Put(context.WithoutCancel(ctx), rec)
}

func (r *runner) resultsPath(name string) string {
	return filepath.Join(r.opt.Dir, ResultsDir, r.opt.Visit, filepath.FromSlash(name))
}

func (r *runner) overlayThere(name string) bool {
	if name == "" {
		return true
	}
	info, err := os.Stat(r.resultsPath(name))
	return err == nil && info.Size() > 0 // empty where the power went before it reached the disk
}

// halfOverlay begins the name of an overlay that is being written.
const halfOverlay = ".overlay-"

// sweep removes what runs that were killed left half written. The folder is held, so
// nobody writes there now.
func (r *runner) sweep() error {
	entries, err := os.ReadDir(r.resultsPath(OverlayDir))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), halfOverlay) {
			err = errors.Join(err, os.Remove(filepath.Join(r.resultsPath(OverlayDir), e.Name())))
		}
	}
	return err
}

// saveOverlay writes whole or not at all. A lost overlay is drawn again, so it
// is not forced to disk.
func (r *runner) saveOverlay(name string, drawn []byte) error {
	target := r.resultsPath(name)
	if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
		return fmt.Errorf("pipeline: make overlay folder: %w", err)
	}
	f, err := os.CreateTemp(filepath.Dir(target), halfOverlay+"*")
	if err != nil {
		return fmt.Errorf("pipeline: write overlay: %w", err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(drawn)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		return fmt.Errorf("pipeline: write overlay: %w", err)
	}
	return nil
}
